import type { IncomingMessage } from 'node:http';
import type { ALARM_ROUTES } from '../../../../shared/routes/alarms.ts';
import type { Orders, PeopleService, Queries } from '../../../ports.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';
import { spanOf } from './places.ts';

type AlarmRouteDeps = {
  readonly queries: Queries;
  readonly orders: Orders;
  readonly people: Pick<PeopleService, 'messages' | 'held'>;
  readonly nowMs: () => number;
  /** who asks, for the record */
  readonly nameOf: (request: IncomingMessage) => string | null;
};

/** /api/v1/alarms. */
export function alarmHandlers(deps: AlarmRouteDeps): Handlers<typeof ALARM_ROUTES> {
  const { queries, people, nowMs } = deps;
  return {
    'get /api/v1/alarms': ({ query: { state, from, to, ...paging } }) => {
      const fromMs = from ?? 0;
      const span = { fromMs, toMs: to ?? Math.max(nowMs(), fromMs) + 1 };
      const isSpanned = from !== undefined || to !== undefined;
      const alarms = isSpanned ? queries.alarmsIn(span) : queries.alarms();
      const wanted = alarms.filter((alarm) => state === undefined || alarm.state === state);
      const page = pageOf(wanted, paging, { keyOf: ({ id }) => id });
      return { alarms: page.rows, ...page.next };
    },
    'get /api/v1/alarms/quality': ({ query }) => queries.alarmQuality(spanOf(query)),
    'get /api/v1/alarms/{id}/events': ({ params, query }) => {
      const page = pageOf(queries.alarmEvents(params.id), query, newestFirst);
      return { events: page.rows, ...page.next };
    },
    'get /api/v1/alarms/{id}/messages': ({ params, query }) => {
      const page = pageOf(people.messages(params.id), query, newestFirst);
      return { messages: page.rows, held: people.held(params.id), ...page.next };
    },
    ...orderHandlers(deps),
  };
}

const newestFirst = { keyOf: ({ id }: { readonly id: number }) => id, newestFirst: true };

function orderHandlers({ orders, nameOf }: AlarmRouteDeps) {
  return {
    'post /api/v1/alarms/{id}/acknowledge': ({ params, request }) =>
      orders.acknowledge(params.id, { by: nameOf(request) }),
    'post /api/v1/alarms/{id}/shelve': ({ params, body, request }) =>
      orders.shelve(params.id, { ...body, by: nameOf(request) }),
    'post /api/v1/alarms/{id}/unshelve': ({ params }) => orders.unshelve(params.id),
    'post /api/v1/alarms/{id}/reset': ({ params }) => orders.reset(params.id),
    'post /api/v1/alarms/{id}/out-of-service': ({ params, body, request }) =>
      orders.takeOutOfService(params.id, { ...body, by: nameOf(request) }),
    'post /api/v1/alarms/{id}/in-service': ({ params }) => orders.putInService(params.id),
  } satisfies Partial<Handlers<typeof ALARM_ROUTES>>;
}
