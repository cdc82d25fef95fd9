import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { startDemo, stepDemo } from '../../../../server/domain/demo/demo.ts';
import { uniform } from '../../../../server/domain/demo/random.ts';
import type { Timers } from '../../../../server/ports.ts';
import { clockByHand } from './hand.ts';
import { databaseFile, startHouse, TARGET_SHEET_FILE } from './house.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** Both demo devices tell this often, and time is let pass for alarms this often; both add to the delay of an alarm. */
export const CADENCE_MS = 10 * MINUTE_MS;
export const WATCH_MS = MINUTE_MS;
const SEED = 20_261_125;
const STREAMS = { hotDay: 101, hotHour: 102, hotPeak: 103, spike: 104, dropout: 105, stuck: 106 } as const;
const draw = (stream: number, index: number) => uniform({ seed: SEED, stream, index });

/** What is wrong on a day, drawn from the seed: local hours. */
function troubleOf(day: number) {
  return {
    // one day in ten the sun comes on the dome: up by 8 to 20 K for one to three hours
    hot:
      draw(STREAMS.hotDay, day) < 0.1
        ? { from: 12 + 2 * draw(STREAMS.hotHour, day), peakK: 8 + 12 * draw(STREAMS.hotPeak, day) }
        : null,
    /** a one-wire probe loses power for a moment, at this hour */
    spikeAt: draw(STREAMS.spike, day) < 0.3 ? 24 * draw(STREAMS.spike, day + 100_000) : null,
    dropout:
      draw(STREAMS.dropout, day) < 0.03
        ? { from: 20 * draw(STREAMS.dropout, day + 100_000), hours: 3 }
        : null,
    stuck: draw(STREAMS.stuck, day) < 0.02,
  };
}

const HOT_HOURS = 2;

function hotterByK(trouble: ReturnType<typeof troubleOf>, hour: number): number {
  if (!trouble.hot) return 0;
  const into = (hour - trouble.hot.from) / HOT_HOURS;
  return into <= 0 || into >= 1 ? 0 : trouble.hot.peakK * Math.sin(Math.PI * into);
}

export type Excursion = { readonly fromMs: number; readonly toMs: number; readonly peakC: number };

/** A house of the invented bench and dome over so many days, with trouble drawn from a seed. */
export async function simulatedDays(days: number) {
  const startMs = Date.UTC(2026, 2, 1);
  const hand = clockByHand(startMs);
  // only alarms are asked of it: what else goes by the clock may wait
  const slow: Timers = {
    ...hand.timers,
    every: (ms, run) => hand.timers.every(Math.max(ms, WATCH_MS), run),
    after: (ms, run) => hand.timers.after(Math.max(ms, HOUR_MS), run),
  };
  const store = openStore({ file: databaseFile(), nowMs: startMs });
  const house = startHouse({ store, hand: { ...hand, timers: slow } });
  let state = startDemo({ seed: SEED, anchorMs: startMs, utcOffsetMs: 0, backRecordMs: 0 });
  const air: { tMs: number; valueC: number }[] = [];
  for (let toMs = startMs + CADENCE_MS; toMs <= startMs + days * DAY_MS; toMs += CADENCE_MS) {
    const step = stepDemo(state, { toMs, cadenceMs: CADENCE_MS });
    state = step.state;
    hand.pass(toMs - hand.clock.nowMs());
    const [day, hour] = [Math.floor((toMs - startMs) / DAY_MS), ((toMs - startMs) % DAY_MS) / HOUR_MS];
    const trouble = troubleOf(day);
    for (const { device, records } of step.packs) {
      const isDome = device === 'demo-bottle-dome';
      const isSilent =
        trouble.dropout &&
        hour >= trouble.dropout.from &&
        hour < trouble.dropout.from + trouble.dropout.hours;
      if (isDome && isSilent) continue;
      const said = records.map((one) => {
        if (!isDome) return one;
        if (one.n.endsWith('air/temperature')) {
          const valueC = one.v + hotterByK(trouble, hour);
          air.push({ tMs: toMs, valueC });
          return { ...one, v: valueC };
        }
        const spikes =
          trouble.spikeAt !== null && Math.abs(hour - trouble.spikeAt) < CADENCE_MS / HOUR_MS / 2;
        if (one.n.endsWith('root/temperature') && spikes) return { ...one, v: 85 };
        return one.n.endsWith('air/humidity') && trouble.stuck ? { ...one, v: 99.9 } : one;
      });
      const payload = new TextEncoder().encode(JSON.stringify(said));
      await house.send({
        topic: `strikewell/1/${device}/readings`,
        payload,
        arrivedAtMs: toMs,
        retainedCopy: false,
      });
    }
  }
  house.daemon.stop();
  return {
    house,
    store,
    span: { fromMs: startMs, toMs: startMs + days * DAY_MS },
    excursions: excursionsOf(air),
  };
}

/** Spells of readings of the dome's air over its ceiling, one straight after the other. */
function excursionsOf(air: readonly { tMs: number; valueC: number }[]): Excursion[] {
  const { ceilingC } = TARGET_SHEET_FILE.targets.air;
  const found: Excursion[] = [];
  let lastMs = Number.NEGATIVE_INFINITY;
  for (const { tMs, valueC } of air) {
    if (valueC <= ceilingC) continue;
    const open = tMs - lastMs <= 15 * MINUTE_MS ? found.pop() : undefined;
    found.push({ fromMs: open?.fromMs ?? tMs, toMs: tMs, peakC: Math.max(valueC, open?.peakC ?? valueC) });
    lastMs = tMs;
  }
  return found;
}
