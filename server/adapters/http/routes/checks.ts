import type { Request } from 'express';
import type { CHECK_ROUTES } from '../../../../shared/routes/checks.ts';
import type { CheckService } from '../../../ports.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

type CheckRouteDeps = {
  readonly checks: CheckService;
  readonly nameOf: (request: Request) => string | null;
};

/** Checks of probes against ice, salt and each other; corrections; and when the next check is due. */
export function checkHandlers({ checks, nameOf }: CheckRouteDeps): Handlers<typeof CHECK_ROUTES> {
  return {
    'get /api/v1/checks': ({ query }) => {
      const answer = checks.answer();
      const page = pageOf(answer.done, query, { keyOf: ({ id }) => id, newestFirst: true });
      return { ...answer, done: page.rows, ...page.next };
    },
    'post /api/v1/checks': ({ body, request }) => checks.start({ ...body, by: nameOf(request) }),
    'get /api/v1/checks/{id}': ({ params }) => checks.check(params.id),
    'delete /api/v1/checks/{id}': ({ params }) => checks.abandon(params.id),
    'post /api/v1/checks/{id}/begin': ({ params, body: { since, until } }) =>
      checks.begin(params.id, { sinceMs: momentMs(since), untilMs: momentMs(until) }),
    'post /api/v1/checks/{id}/take': ({ params }) => checks.take(params.id),
    'post /api/v1/probes/{id}/corrections': ({ params, body, request }) => {
      const { from, checkId = null, ...order } = body;
      return checks.correct(params.id, { ...order, checkId, fromMs: momentMs(from), by: nameOf(request) });
    },
    'post /api/v1/corrections/{id}/withdraw': ({ params, request }) =>
      checks.setWithdrawn(params.id, { withdrawn: true, by: nameOf(request) }),
    'post /api/v1/corrections/{id}/restore': ({ params, request }) =>
      checks.setWithdrawn(params.id, { withdrawn: false, by: nameOf(request) }),
    'put /api/v1/probes/{id}/check-due': ({ params, body: { due } }) =>
      checks.setDue(params.id, due === null ? null : Date.parse(due)),
  };
}

function momentMs(text: string | undefined): number | null {
  return text === undefined ? null : Date.parse(text);
}
