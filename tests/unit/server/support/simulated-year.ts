import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { startDemo, stepDemo } from '../../../../server/domain/demo/demo.ts';
import { uniform } from '../../../../server/domain/demo/random.ts';
import { CASE_DEVICE } from '../../../../server/domain/demo/scenario.ts';
import type { Timers } from '../../../../server/ports.ts';
import { clockByHand } from './hand.ts';
import { databaseFile, type House, startHouse, TARGET_SHEET_FILE } from './house.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** Both demo devices report this often, and time is let pass for alarms this often; both add to the delay of an alarm. */
export const CADENCE_MS = 10 * MINUTE_MS;
export const WATCH_MS = MINUTE_MS;
const SEED = 20_261_125;
const STREAMS = {
  hotDay: 101,
  hotHour: 102,
  hotPeak: 103,
  spike: 104,
  dropout: 105,
  stuck: 106,
  cold: 107,
  mat: 108,
  dry: 109,
} as const;
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
    // a window is left open on a frosty night, a mat dies at midnight, the mist of the bench fails at noon
    cold: draw(STREAMS.cold, day) < 0.05,
    deadMat: draw(STREAMS.mat, day) < 0.05,
    dry: draw(STREAMS.dry, day) < 0.05,
  };
}

type Trouble = ReturnType<typeof troubleOf>;

/** Something that must not pass without a call: where, from when to when, and the alarms of which one is enough. */
export type MustCall = {
  readonly what: 'cold' | 'dry' | 'blind';
  readonly placeId: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly rules: readonly string[];
};

export const DOME = 'demo-bottle-dome';
const COLD = { from: 0.5, to: 5, airC: 5 } as const;
const DEAD_MAT = { from: 0.5, to: 9, fallK: 8 } as const;
const DRY = { from: 11, to: 14, humidityPct: 40 } as const;

const isWithin = (hour: number, { from, to }: { readonly from: number; readonly to: number }) =>
  hour >= from && hour < to;

function mustCallOf(day: number, { startMs, bench }: { startMs: number; bench: string }): MustCall[] {
  const { cold, deadMat, dry, dropout } = troubleOf(day);
  const at = (hours: { readonly from: number; readonly to: number }) => ({
    fromMs: startMs + day * DAY_MS + hours.from * HOUR_MS,
    toMs: startMs + day * DAY_MS + hours.to * HOUR_MS,
  });
  const silent = dropout && { from: dropout.from, to: dropout.from + dropout.hours };
  return [
    // of air that nobody can see nothing is asked
    ...(cold && !silent
      ? [
          {
            what: 'cold',
            placeId: DOME,
            ...at(COLD),
            rules: ['air-far-too-cold', 'air-below-band-at-night'],
          } as const,
        ]
      : []),
    ...(deadMat
      ? [
          {
            what: 'cold',
            placeId: bench,
            ...at(DEAD_MAT),
            rules: ['root-below-band', 'root-zone-far-too-cold', 'root-falling-towards-air'],
          } as const,
        ]
      : []),
    ...(dry
      ? [
          {
            what: 'dry',
            placeId: bench,
            ...at(DRY),
            rules: ['vpd-above-band-in-light', 'no-mist-in-light'],
          } as const,
        ]
      : []),
    ...(silent
      ? [{ what: 'blind', placeId: DOME, ...at(silent), rules: ['no-data', 'probe-silent'] } as const]
      : []),
  ];
}

/** A value of the dome or the bench as it is on a day with trouble. */
function troubled(
  one: { readonly n: string; readonly v: number },
  of: { trouble: Trouble; hour: number; isDome: boolean },
): number {
  const { trouble, hour, isDome } = of;
  if (isDome && one.n.endsWith('air/temperature') && trouble.cold && isWithin(hour, COLD))
    return COLD.airC + (one.v % 1);
  if (isDome) return one.v;
  if (one.n.endsWith('root/temperature') && trouble.deadMat && isWithin(hour, DEAD_MAT))
    return one.v - DEAD_MAT.fallK * Math.min(1, (hour - DEAD_MAT.from) / 2);
  if (one.n.endsWith('air/humidity') && trouble.dry && isWithin(hour, DRY))
    return DRY.humidityPct + (one.v % 1);
  return one.v;
}

const HOT_HOURS = 2;

function hotterByK(trouble: ReturnType<typeof troubleOf>, hour: number): number {
  if (!trouble.hot) return 0;
  const into = (hour - trouble.hot.from) / HOT_HOURS;
  return into <= 0 || into >= 1 ? 0 : trouble.hot.peakK * Math.sin(Math.PI * into);
}

export type Excursion = { readonly fromMs: number; readonly toMs: number; readonly peakC: number };

/** A house of the simulated bench and dome over so many days, with trouble drawn from a seed. */
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
  let bench = '';
  for (let toMs = startMs + CADENCE_MS; toMs <= startMs + days * DAY_MS; toMs += CADENCE_MS) {
    const step = stepDemo(state, { toMs, cadenceMs: CADENCE_MS });
    state = step.state;
    hand.pass(toMs - hand.clock.nowMs());
    if (toMs === startMs + 2 * CADENCE_MS)
      for (const { id } of house.daemon.queries.places())
        house.daemon.orders.patchPlace(id, {
          kind: id === DOME ? 'dome' : 'bench',
          settings: { questionsOpen: false, mat: true },
        });
    const [day, hour] = [Math.floor((toMs - startMs) / DAY_MS), ((toMs - startMs) % DAY_MS) / HOUR_MS];
    const trouble = troubleOf(day);
    // the year is that of the bench and the dome: the case has a script of its own
    for (const { device, records } of step.packs.filter((pack) => pack.device !== CASE_DEVICE)) {
      const isDome = device === DOME;
      if (!isDome) bench = device;
      const isSilent =
        trouble.dropout &&
        hour >= trouble.dropout.from &&
        hour < trouble.dropout.from + trouble.dropout.hours;
      if (isDome && isSilent) continue;
      const said = records.map((one) => {
        const v = troubled(one, { trouble, hour, isDome });
        if (!isDome) return { ...one, v };
        if (one.n.endsWith('air/temperature')) {
          const valueC = v + hotterByK(trouble, hour);
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
    await forgetSent(house);
  }
  house.daemon.stop();
  return {
    house,
    store,
    span: { fromMs: startMs, toMs: startMs + days * DAY_MS },
    excursions: excursionsOf(air),
    mustCall: Array.from({ length: days }, (_, day) => mustCallOf(day, { startMs, bench })).flat(),
  };
}

/** Nobody asks what the edges were sent, and a year of it does not fit in memory. */
async function forgetSent({ sent, published }: House): Promise<void> {
  sent.length = 0;
  published.length = 0;
  // statements that are done with give their memory back between two turns of the event loop
  await new Promise((resolve) => setImmediate(resolve));
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
