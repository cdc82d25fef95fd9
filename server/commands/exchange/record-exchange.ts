import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Fault } from '../../../shared/faults.ts';
import { targetSheetSchema } from '../../../shared/model/targets.ts';
import { parquetColumns } from '../../adapters/parquet/parquet.ts';
import { openStore } from '../../adapters/sqlite/store.ts';
import { systemClock as clock, systemTimers as timers } from '../../adapters/system/clock.ts';
import { holdsBytes } from '../../adapters/system/files/aside.ts';
import { photoFolder } from '../../adapters/system/files/photos.ts';
import type { Settings } from '../../config.ts';
import { createCuttingsExchange } from '../../daemon/diary/exchange/exchange.ts';
import { createExchange, exposuresOfWorld } from '../../daemon/services/exchange/exchange.ts';
import { createSheetService } from '../../daemon/services/sheets.ts';
import { World } from '../../daemon/world/world.ts';
import type { CuttingsExchange, Exchange, Store } from '../../ports.ts';
import { recordFileIn } from '../record-file.ts';

const TARGET_SHEET_FILE = fileURLToPath(
  new URL('../../../seeds/targets/general-herbaceous-bottom-heat.json', import.meta.url),
);

/** The exchange over an open record, without a daemon. */
export function exchangeOver(store: Store, { timeZone }: Settings): Exchange {
  const world = new World(store);
  const context = { world, store, timeZone };
  return createExchange({
    ...context,
    clock,
    timers,
    columns: parquetColumns,
    placeChanged: () => undefined,
    targetSheet: targetSheetSchema.parse(JSON.parse(readFileSync(TARGET_SHEET_FILE, 'utf8'))),
    exposuresIn: exposuresOfWorld({ ...context, clock, readOnly: true }),
  });
}

/** The exchange of cuttings over an open record, without a daemon. */
export function cuttingsOver(store: Store, { dataDir }: Settings): CuttingsExchange {
  const world = new World(store);
  const sheets = createSheetService({ world, store, clock });
  const { sheetOf } = sheets;
  const photos = photoFolder(recordFileIn(dataDir));
  return createCuttingsExchange({
    world,
    store,
    clock,
    sheetOf,
    placeChanged: () => undefined,
    sheets,
    photos,
  });
}

/**
 * Opens the record of a data folder to read it; a daemon may run on it.
 * @throws Fault `not-found` when there is none
 */
export function openToRead({ dataDir }: Settings): Store {
  const file = recordFileIn(dataDir);
  if (holdsBytes(file)) return openStore({ file, nowMs: clock.nowMs() });
  throw new Fault({ code: 'not-found', message: `There is no record ${file}; set STRIKEWELL_DATA_DIR.` });
}

/** An empty record that is never written to a disk: what a first import is rehearsed against. */
export function openNothing(): Store {
  return openStore({ file: ':memory:', nowMs: clock.nowMs() });
}
