import type { PlaceChange } from '../../shared/wire/places/changes.ts';
import type { KeptBatch } from '../domain/batches/batch.ts';
import type { Store, Timers } from '../ports.ts';
import { createAdvice } from './advice/advice.ts';
import { createBatchService } from './batches/service.ts';
import type { HouseDeps } from './deps.ts';
import { createCuttingsExchange } from './diary/exchange/exchange.ts';
import { createDiaryService } from './diary/service.ts';
import { morningInParts, morningOf } from './morning/morning.ts';
import type { FindingsService } from './readout/findings.ts';
import type { QueryContext } from './readout/present.ts';
import { createCheckService } from './services/checks/service.ts';
import { createExchange, exposuresOfWorld } from './services/exchange/exchange.ts';
import { createOrders, type OrderContext } from './services/orders.ts';
import { createPeopleService } from './services/people-service.ts';
import { changePlaces } from './services/several-places.ts';
import { createSheetService } from './services/sheets.ts';

type Opening = {
  readonly query: QueryContext;
  readonly ordering: Omit<OrderContext, 'sheetOf'>;
  readonly timers: Timers;
  readonly findings: FindingsService;
  readonly deps: Pick<HouseDeps, 'ways' | 'targetSheet' | 'photos' | 'columns'>;
};

/** What people and programs ask for, over one world. */
export function openServices({ query, ordering, timers, findings, deps }: Opening) {
  const batchesOn = (sheetId: string) => batchesOf(sheetId, ordering.store);
  const sheets = createSheetService({ ...ordering, batchesOn });
  const context = { ...ordering, sheetOf: sheets.sheetOf };
  const { placeChanged } = ordering;
  const { targetSheet, photos, columns } = deps;
  const exposuresIn = exposuresOfWorld(query);
  return {
    advice: createAdvice(query),
    exchange: createExchange({ ...query, timers, columns, targetSheet, exposuresIn, placeChanged }),
    orders: {
      ...createOrders(context),
      changePlaces: (changes: readonly PlaceChange[]) => changePlaces(changes, context),
    },
    people: createPeopleService(context, deps.ways),
    checks: createCheckService(context),
    sheets,
    batches: createBatchService({ ...query, ...context, sheets }),
    diary: createDiaryService({ ...query, ...context, photos }),
    cuttings: createCuttingsExchange({ ...context, sheets, photos }),
    night: (date: string | null) => morningOf(date, { ...query, ...context, findings }),
    nightInParts: (date: string | null) => morningInParts(date, { ...query, ...context, findings }),
  };
}

/** How many batches have, or had, a sheet in any of its versions. */
function batchesOf(sheetId: string, { batches }: Store): number {
  const uses = ({ body, deletedMs }: KeptBatch) =>
    deletedMs === null && body.sheets.some((sheet) => sheet.sheetId === sheetId);
  return batches.all().filter(uses).length;
}
