import type { PEOPLE_ROUTES } from '../../../../shared/routes/people.ts';
import type { ContactMethodAt, PeopleService } from '../../../ports.ts';
import type { Handlers } from '../router.ts';

/** The people who are notified, by which contact methods and in which order. */
export function peopleHandlers({
  people,
}: {
  readonly people: PeopleService;
}): Handlers<typeof PEOPLE_ROUTES> {
  return {
    'get /api/v1/people': () => people.answer(),
    'post /api/v1/people': ({ body }) => people.add(body),
    'put /api/v1/people/{id}': ({ params, body }) => people.update(params.id, body),
    'delete /api/v1/people/{id}': ({ params }) => people.remove(params.id),
    'post /api/v1/people/{id}/ways': ({ params, body }) => ({
      way: people.addContactMethod(params.id, body),
    }),
    'put /api/v1/people/{id}/ways/{wayId}': ({ params, body }) => ({
      way: people.updateContactMethod(methodAt(params), body),
    }),
    'delete /api/v1/people/{id}/ways/{wayId}': ({ params }) => people.removeContactMethod(methodAt(params)),
    'post /api/v1/people/{id}/ways/{wayId}/test': ({ params }) => ({
      tests: people.testNow(methodAt(params)),
    }),
    'post /api/v1/people/{id}/test': ({ params }) => ({
      tests: people.testNow({ personId: params.id, wayId: null }),
    }),
    'post /api/v1/tests/{id}/confirm': ({ params }) => people.confirmTest(params.id),
    'put /api/v1/weekly-test': ({ body }) => {
      people.setWeeklyTest(body);
      return people.answer();
    },
    'put /api/v1/ladder': ({ body }) => {
      people.setEscalation(body);
      return people.answer();
    },
    'get /api/v1/house/webhook-secret': ({ response }) => {
      response.set('cache-control', 'no-store');
      return { secret: people.webhookSecret() };
    },
  };
}

function methodAt({ id, wayId }: { readonly id: number; readonly wayId: number }): ContactMethodAt {
  return { personId: id, wayId };
}
