import type { Escalation, NewContactMethod, Person, PersonPatch } from '../../shared/model/people/people.ts';
import type { WeeklyTest } from '../../shared/model/people/weekly-test.ts';
import type {
  DeliveryView,
  MessagesAnswer,
  PeopleAnswer,
  TestsAnswer,
  TestView,
} from '../../shared/wire/people.ts';
import { ask } from '../api.ts';

const send = <T>(method: string, path: string, body: unknown = {}) =>
  ask<T>(path, { method, body: JSON.stringify(body) });
const contactMethodPath = (personId: number, wayId: number) => `/people/${personId}/ways/${wayId}`;

/** Questions and orders about the people who are told, over HTTP. Each throws ApiError. */
export const peopleApi = {
  all: () => ask<PeopleAnswer>('/people'),
  add: (person: PersonPatch) => send<Person>('POST', '/people', person),
  update: (personId: number, person: PersonPatch) => send<Person>('PUT', `/people/${personId}`, person),
  remove: (personId: number) => send<unknown>('DELETE', `/people/${personId}`),
  addContactMethod: (personId: number, contactMethod: NewContactMethod) =>
    send<unknown>('POST', `/people/${personId}/ways`, contactMethod),
  updateContactMethod: (personId: number, wayId: number, contactMethod: NewContactMethod) =>
    send<unknown>('PUT', contactMethodPath(personId, wayId), contactMethod),
  removeContactMethod: (personId: number, wayId: number) =>
    send<unknown>('DELETE', contactMethodPath(personId, wayId)),
  /** by one way, or, `wayId` null, by all */
  testNow: async (personId: number, wayId: number | null): Promise<readonly TestView[]> => {
    const path = wayId === null ? `/people/${personId}` : contactMethodPath(personId, wayId);
    return (await send<TestsAnswer>('POST', `${path}/test`)).tests;
  },
  confirmTest: (testId: number) => send<TestView>('POST', `/tests/${testId}/confirm`),
  setWeeklyTest: (weekly: WeeklyTest) => send<PeopleAnswer>('PUT', '/weekly-test', weekly),
  setEscalation: (escalation: Escalation) => send<PeopleAnswer>('PUT', '/ladder', escalation),
  messages: async (alarmId: string): Promise<readonly DeliveryView[]> =>
    (await ask<MessagesAnswer>(`/alarms/${encodeURIComponent(alarmId)}/messages`)).messages,
  webhookSecret: async (): Promise<string> => (await ask<{ secret: string }>('/house/webhook-secret')).secret,
};
