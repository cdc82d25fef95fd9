import { sheetRegistry } from '../domain/sheets/registry.ts';
import type { Timers } from '../ports.ts';
import { createBatchService } from './batches/service.ts';
import type { HouseDeps } from './deps.ts';
import type { QueryContext } from './readout/present.ts';
import { createCheckService } from './services/checks/service.ts';
import { createExchange, exposuresOfWorld } from './services/exchange/exchange.ts';
import { createOrders, type OrderContext } from './services/orders.ts';
import { createPeopleService } from './services/people-service.ts';

type Opening = {
  readonly query: QueryContext;
  readonly ordering: Omit<OrderContext, 'sheetOf'>;
  readonly timers: Timers;
  readonly deps: Pick<HouseDeps, 'ways' | 'targetSheet'>;
};

/** What people and programs ask for, over one world. */
export function openServices({ query, ordering, timers, deps }: Opening) {
  const { sheetOf } = sheetRegistry([]);
  const context = { ...ordering, sheetOf };
  const { placeChanged } = ordering;
  const { targetSheet } = deps;
  const exposuresIn = exposuresOfWorld(query);
  return {
    exchange: createExchange({ ...query, timers, targetSheet, exposuresIn, placeChanged }),
    orders: createOrders(context),
    people: createPeopleService(context, deps.ways),
    checks: createCheckService(context),
    batches: createBatchService({ ...query, ...context }),
  };
}
