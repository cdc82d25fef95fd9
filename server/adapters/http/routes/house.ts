import type { HOUSE_ROUTES } from '../../../../shared/routes/house.ts';
import type { BackupService } from '../../../domain/backups/backup-service.ts';
import type { Orders, Queries, StatusService } from '../../../ports.ts';
import { openapi } from '../openapi.ts';
import { numberIn, type Paging, pageOf, writeCursor } from '../paging.ts';
import { problemType } from '../problem.ts';
import type { Handlers } from '../router.ts';
import { optionalSpanOf } from './places.ts';

type HouseDeps = {
  readonly queries: Queries;
  readonly orders: Orders;
  readonly backups: BackupService;
  readonly status: Pick<StatusService, 'clock'>;
};

/** The installation: facts, probes and what is found wrong with them, rejected messages, the backups and the demo. */
export function houseHandlers(deps: HouseDeps): Handlers<typeof HOUSE_ROUTES> {
  const { queries, orders, backups, status } = deps;
  return {
    'get /api/v1/openapi.json': () => openapi(),
    'get /api/v1/problems/{code}': ({ params }) => problemType(params.code),
    'get /api/v1/house': () => queries.house(),
    'get /api/v1/clock': () => status.clock(),
    'get /api/v1/probes': ({ query }) => {
      const page = pageOf(queries.probes(), query, { keyOf: ({ id }) => id });
      return { probes: page.rows, ...page.next };
    },
    'get /api/v1/probes/findings': ({ query }) =>
      queries.findings({ placeId: query.place ?? null, span: optionalSpanOf(query) }),
    'get /api/v1/refused': ({ query }) => refusedPage(queries, query),
    'get /api/v1/backups': ({ query }) => {
      const answer = backups.answer();
      const page = pageOf(answer.backups, query, {
        keyOf: ({ at, name }) => `${at} ${name}`,
        newestFirst: true,
      });
      return { ...answer, backups: page.rows, ...page.next };
    },
    'post /api/v1/backups': () => {
      backups.start();
      return backups.answer();
    },
    'post /api/v1/demo': () => {
      orders.startDemo();
      return queries.house();
    },
    'delete /api/v1/demo': async () => {
      await orders.removeDemo();
      return queries.house();
    },
  };
}

function refusedPage(queries: Queries, { limit, cursor }: Paging) {
  if (limit === undefined) return { ...queries.refused(), ...pageOf([], { cursor }, { keyOf: String }).next };
  const answer = queries.refused({ limit, beforeId: cursor === undefined ? null : numberIn(cursor) });
  const last = answer.refused.at(-1);
  const more = answer.refused.length === limit && last !== undefined;
  return { ...answer, next: more ? writeCursor(last.id) : null };
}
