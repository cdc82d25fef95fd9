import { join } from 'node:path';
import { z } from 'zod';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { createForecasts } from '../../server/daemon/forecast/forecasts.ts';
import { World } from '../../server/daemon/world/world.ts';
import type { Parts, Timers } from '../../server/ports.ts';
import { temporaryFolder } from '../support/folders.ts';
import { answer } from './in-child.ts';
import { monthOf } from './month.ts';
import { DAY_START_MS, TIME_ZONE } from './simulated.ts';

/** Weeks of a place: what is learned each day, looked at each minute, and asked about the past. */
const orderSchema = z.object({
  days: z.number(),
  everyMs: z.number(),
  minutes: z.number(),
  seed: z.number(),
});

const DAY_MS = 86_400_000;
const MIN_MS = 60_000;

await answer(orderSchema, (order) => {
  const store = openStore({ file: join(temporaryFolder('forecast'), 'record.db'), nowMs: DAY_START_MS });
  const place = monthOf(store, order);
  // the last minutes of the record are lived through
  let nowMs = DAY_START_MS + order.days * DAY_MS - order.minutes * MIN_MS;
  const clock = { nowMs: () => nowMs, elapsedMs: () => nowMs, bootId: () => 'perf' };
  const forecasts = createForecasts({ store, world: new World(store), timeZone: TIME_ZONE, clock });
  const turns: (() => void)[] = [];
  const timers = { every: (_ms: number, run: () => void) => turns.push(run) } as unknown as Timers;
  const log = {
    info: () => undefined,
    warn: () => undefined,
    error: (message: string) => {
      throw new Error(message);
    },
  };
  forecasts.start({ timers, log });
  const learning = took(function* () {
    for (let turn = 0; turn < 400; turn += 1) yield turns[0]?.();
  });
  const minutes: number[] = [];
  for (let minute = 0; minute < order.minutes; minute += 1) {
    nowMs += MIN_MS;
    const startMs = workedMs();
    forecasts.expected(place.id);
    minutes.push(workedMs() - startMs);
  }
  const past = took(() =>
    forecasts.answer(place, { quantity: 'airTemperatureC', atMs: nowMs - DAY_MS - MIN_MS }),
  );
  const isKnown = forecasts.held(place.id, 'airTemperatureC') !== null;
  return {
    learning,
    minuteMs: minutes.reduce((sum, ms) => sum + ms, 0) / minutes.length,
    worstMinuteMs: Math.max(...minutes),
    past,
    isKnown,
  };
});

/** What this process has worked, ms: other programs on the machine do not count. */
function workedMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1_000;
}

/** How long parts took, all together and the longest, ms. */
function took(start: () => Parts<unknown> | Generator<unknown>) {
  const each: number[] = [];
  const parts = start();
  for (;;) {
    const startMs = workedMs();
    const { done } = parts.next();
    each.push(workedMs() - startMs);
    if (done) return { wholeMs: each.reduce((sum, ms) => sum + ms, 0), longestMs: Math.max(...each) };
  }
}
