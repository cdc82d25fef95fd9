import type { PEOPLE_ROUTES } from '../../../../shared/routes/people.ts';
import type { PeopleDesk, WayAt } from '../../../ports.ts';
import type { Handlers } from '../router.ts';

/** The people who are notified, by which contact methods and in which order. */
export function peopleHandlers({ people }: { readonly people: PeopleDesk }): Handlers<typeof PEOPLE_ROUTES> {
  return {
    'get /api/v1/people': () => people.answer(),
    'post /api/v1/people': ({ body }) => people.add(body),
    'put /api/v1/people/{id}': ({ params, body }) => people.update(params.id, body),
    'delete /api/v1/people/{id}': ({ params }) => people.remove(params.id),
    'post /api/v1/people/{id}/ways': ({ params, body }) => ({ way: people.addWay(params.id, body) }),
    'put /api/v1/people/{id}/ways/{wayId}': ({ params, body }) => ({
      way: people.updateWay(wayAt(params), body),
    }),
    'delete /api/v1/people/{id}/ways/{wayId}': ({ params }) => people.removeWay(wayAt(params)),
    'post /api/v1/people/{id}/ways/{wayId}/test': ({ params }) => ({ tests: people.testNow(wayAt(params)) }),
    'post /api/v1/people/{id}/test': ({ params }) => ({
      tests: people.testNow({ personId: params.id, wayId: null }),
    }),
    'post /api/v1/tests/{id}/confirm': ({ params }) => people.confirmTest(params.id),
    'put /api/v1/weekly-test': ({ body }) => {
      people.setWeeklyTest(body);
      return people.answer();
    },
    'put /api/v1/ladder': ({ body }) => {
      people.setLadder(body);
      return people.answer();
    },
    'get /api/v1/house/webhook-secret': ({ response }) => {
      response.set('cache-control', 'no-store');
      return { secret: people.webhookSecret() };
    },
  };
}

function wayAt({ id, wayId }: { readonly id: number; readonly wayId: number }): WayAt {
  return { personId: id, wayId };
}
