import { setImmediate as soon } from 'node:timers/promises';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { withDeadlines } from '../../../../server/daemon/notify/deadlines.ts';
import { uniform } from '../../../../server/domain/demo/random.ts';
import type { Carrier, RecordStore, Timers } from '../../../../server/ports.ts';
import { storeOnDisk } from './full-disk.ts';
import { clockByHand, type Hand } from './hand.ts';
import { databaseFile, keepInMemory, startHouse, TARGET_SHEET_FILE } from './house.ts';
import { CADENCE_MS, WATCH_MS } from './simulated-year.ts';

export const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const BENCH = 'bench-1';
/** What the store is made to fail at, as a mistake of ours. */
const POISON_C = 66.5;

export type FaultKind = 'kill' | 'full disk' | 'clock' | 'poison' | 'hanging way';
const KINDS: readonly FaultKind[] = ['kill', 'full disk', 'clock', 'poison', 'hanging way'];
/** When a fault begins and ends, ms since epoch; how far it goes, 0 to 1. */
export type PlannedFault = {
  readonly kind: FaultKind;
  readonly fromMs: number;
  readonly toMs: number;
  readonly strength: number;
};

/** From when to when a fault leaves nobody alive, or alive with all it knew in memory only, ms since epoch. */
export function deadIn({ kind, fromMs, toMs, strength }: PlannedFault): OverCeiling | null {
  if (kind === 'kill') return { fromMs, toMs };
  return kind === 'full disk' && strength < 0.5 ? { fromMs: toMs, toMs } : null;
}

/** A stretch of readings over the ceiling. */
export type OverCeiling = { readonly fromMs: number; readonly toMs: number };
type Pack = { readonly payload: Uint8Array; readonly keys: readonly string[] };

const STREAMS = { hot: 201, hour: 202, peak: 203, fault: 204, kind: 205, at: 206, lasts: 207, strength: 208 };
type Draw = (stream: keyof typeof STREAMS, index: number) => number;

const HOT_HOURS = 2;
const hotFrom = (draw: Draw, day: number) => (draw('hot', day) < 0.4 ? 11 + 3 * draw('hour', day) : null);

/** 18 to 24 °C over the day; on two days in five two hours that are up to 20 K warmer. */
function airC(draw: Draw, sinceMs: number): number {
  const [day, hour] = [Math.floor(sinceMs / DAY_MS), (sinceMs % DAY_MS) / HOUR_MS];
  const from = hotFrom(draw, day);
  const into = from === null ? -1 : (hour - from) / HOT_HOURS;
  const hotterK = into <= 0 || into >= 1 ? 0 : (8 + 12 * draw('peak', day)) * Math.sin(Math.PI * into);
  return 21 + 3 * Math.sin((2 * Math.PI * (hour - 8)) / 24) + hotterK;
}

/** Each kind once in five days, from another one on in each five. */
function kindOf(draw: Draw, day: number): FaultKind {
  const first = Math.floor(KINDS.length * draw('kind', Math.floor(day / KINDS.length)));
  return KINDS[(first + day) % KINDS.length] ?? 'kill';
}

/** The faults of so many days, one a day at most; on hot days mostly in the hot hours. */
function planned(draw: Draw, { days, startMs }: { days: number; startMs: number }): PlannedFault[] {
  return Array.from({ length: days }, (_, day) => day).flatMap((day) => {
    if (draw('fault', day) > 0.95) return [];
    const kind = kindOf(draw, day);
    const from = hotFrom(draw, day);
    const hour = from === null ? 1 + 18 * draw('at', day) : from - 0.5 + HOT_HOURS * draw('at', day);
    const fromMs = startMs + day * DAY_MS + Math.round(hour * 60) * MINUTE_MS;
    const mostMin = kind === 'kill' ? 20 : kind === 'poison' ? 0 : 180;
    const lastsMs = Math.ceil(mostMin * draw('lasts', day)) * MINUTE_MS;
    return [{ kind, fromMs, toMs: fromMs + lastsMs, strength: draw('strength', day) }];
  });
}

function poisoned(inner: RecordStore): RecordStore {
  const { journal } = inner;
  return {
    ...inner,
    journal: {
      ...journal,
      append(reading) {
        if (reading.value === POISON_C) throw new RangeError('poison');
        return journal.append(reading);
      },
    },
  };
}

export type Sent = { readonly atMs: number; readonly type: string; readonly alarmId: string };

/** What outlives the daemon. */
type Outside = {
  readonly hand: Hand;
  readonly file: string;
  readonly keep: ReturnType<typeof keepInMemory>;
  readonly disk: { full: boolean };
  /** the kind of way that hangs */
  readonly hanging: { kind: string | null };
  readonly carrier: Carrier;
};

/** A daemon on the record, which can be killed: nothing of it goes on then. */
function live({ hand, file, keep, disk, carrier }: Outside) {
  let isAlive = true;
  const stops: (() => void)[] = [];
  const whileRunning = (run: () => void) => () => {
    if (isAlive) run();
  };
  const noted = (stop: () => void) => {
    stops.push(stop);
    return stop;
  };
  const timers: Timers = {
    every: (ms, run) => noted(hand.timers.every(Math.max(ms, WATCH_MS), whileRunning(run))),
    after: (ms, run) => noted(hand.timers.after(Math.max(ms, WATCH_MS), whileRunning(run))),
    soon: (run) => hand.timers.soon(whileRunning(run)),
  };
  const inner = openStore({ file, nowMs: hand.clock.nowMs() });
  const { store } = storeOnDisk(poisoned(inner), disk);
  const house = startHouse({
    store,
    keep,
    webhookUrl: null,
    hand: { ...hand, timers },
    carrier: withDeadlines(carrier, { timers }),
  });
  return {
    house,
    kill() {
      isAlive = false;
      for (const stop of stops) stop();
      inner.close();
    },
  };
}

type Life = ReturnType<typeof live>;
type Days = {
  readonly startMs: number;
  readonly draw: Draw;
  readonly outside: Outside;
  readonly trueMs: () => number;
  life: Life | null;
};

/** The node of the bench: it reads by a clock that is right, and keeps what is not acknowledged. */
function nodeOf(days: Days) {
  const { startMs, draw, outside, trueMs } = days;
  const acknowledged = new Set<string>();
  const over: { fromMs: number; toMs: number }[] = [];
  let kept: Pack[] = [];
  const offer = (payload: Uint8Array, device = BENCH): Promise<boolean> => {
    if (days.life === null) return Promise.resolve(false);
    const topic = `strikewell/1/${device}/readings`;
    const message = { topic, payload, arrivedAtMs: outside.hand.clock.nowMs(), retainedCopy: false };
    return days.life.house.daemon.inbox.offer(message).then(
      () => true,
      () => false,
    );
  };
  return {
    acknowledged,
    over,
    offer,
    kept: () => kept,
    read() {
      const tMs = trueMs();
      const valueC = Math.round(100 * airC(draw, tMs - startMs)) / 100;
      if (valueC > TARGET_SHEET_FILE.targets.air.ceilingC) {
        const last = over.at(-1);
        if (last && tMs - last.toMs <= 1.5 * CADENCE_MS) last.toMs = tMs;
        else over.push({ fromMs: tMs, toMs: tMs });
      }
      const payload = encoded([
        { n: 'air/temperature', u: 'Cel', v: valueC, t: tMs / 1_000 },
        { n: 'root/temperature', u: 'Cel', v: 21, t: tMs / 1_000 },
      ]);
      kept.push({ payload, keys: [`air/temperature ${tMs} ${valueC}`, `root/temperature ${tMs} 21`] });
    },
    /** All at once, oldest first: what is not taken now is sent again with the next. */
    async send() {
      const offered = kept.map(async (pack) => ({ pack, isTaken: await offer(pack.payload) }));
      outside.hand.settle();
      const answers = await Promise.all(offered);
      for (const { pack } of answers.filter(({ isTaken }) => isTaken))
        for (const key of pack.keys) acknowledged.add(key);
      kept = answers.filter(({ isTaken }) => !isTaken).map(({ pack }) => pack);
    },
  };
}

function encoded(records: readonly object[]): Uint8Array {
  return new TextEncoder().encode(JSON.stringify(records));
}

type Node = ReturnType<typeof nodeOf>;

/** With a pack on its way: before its commit, or after it and before its acknowledgement. */
function kill(days: Days, node: Node, isCommitted: boolean): void {
  node.read();
  void node.offer(node.kept().at(-1)?.payload ?? new Uint8Array());
  if (isCommitted) days.outside.hand.settle();
  days.life?.kill();
  days.life = null;
}

async function begin({ kind, strength, fromMs }: PlannedFault, days: Days, node: Node): Promise<void> {
  const { hand, disk, hanging } = days.outside;
  if (kind === 'kill') kill(days, node, strength < 0.5);
  if (kind === 'full disk') disk.full = true;
  if (kind === 'clock') hand.jump(Math.round(2 * HOUR_MS * strength));
  if (kind === 'hanging way') hanging.kind = strength < 0.5 ? 'mail' : 'webhook';
  if (kind !== 'poison') return;
  const payload = encoded([{ n: 'air/temperature', u: 'Cel', v: POISON_C, t: fromMs / 1_000 }]);
  const taken = node.offer(payload, 'bench-poison');
  hand.settle();
  if (!(await taken)) throw new Error('poison was not acknowledged');
}

function end(fault: PlannedFault, days: Days, node: Node): void {
  const { hand, disk, hanging } = days.outside;
  // nothing of what was held in memory is left
  if (fault.kind === 'full disk' && deadIn(fault)) kill(days, node, true);
  days.life ??= live(days.outside);
  disk.full = false;
  hanging.kind = null;
  if (fault.kind === 'clock') hand.jump(days.trueMs() - hand.clock.nowMs());
}

function outsideFrom(startMs: number) {
  const hand = clockByHand(startMs);
  const trueMs = () => startMs + hand.clock.elapsedMs();
  const sent: Sent[] = [];
  const hanging: Outside['hanging'] = { kind: null };
  const carrier: Carrier = {
    send(method, { body }) {
      if (method.kind === hanging.kind) return new Promise<never>(() => undefined);
      const { type, data } = JSON.parse(body) as { type: string; data: { alarm: { id: string } | null } };
      sent.push({ atMs: trueMs(), type, alarmId: data.alarm?.id ?? '' });
      return Promise.resolve({ delivered: true });
    },
  };
  const disk = { full: false };
  return {
    trueMs,
    sent,
    outside: { hand, file: databaseFile(), keep: keepInMemory(), disk, hanging, carrier },
  };
}

/** So many days of one bench, with faults at moments drawn from the seed; Robin is called by mail and by webhook. */
export async function faultyDays({ days: count, seed }: { readonly days: number; readonly seed: number }) {
  const startMs = Date.UTC(2026, 2, 1);
  const draw: Draw = (stream, index) => uniform({ seed, stream: STREAMS[stream], index });
  const { trueMs, sent, outside } = outsideFrom(startMs);
  const first = live(outside);
  const days: Days = { startMs, draw, outside, trueMs, life: first };
  const { people } = first.house.daemon;
  const { id } = people.add({ name: 'Robin', quiet: null });
  people.addContactMethod(id, { kind: 'mail', address: 'robin@bench.example' });
  people.addContactMethod(id, { kind: 'webhook', url: 'https://hook.example/' });
  const node = nodeOf(days);
  const faults = planned(draw, { days: count, startMs });
  for (let atMs = startMs; atMs <= startMs + count * DAY_MS; atMs += MINUTE_MS) {
    outside.hand.pass(atMs - trueMs());
    await soon();
    for (const fault of faults.filter(({ fromMs }) => fromMs === atMs)) await begin(fault, days, node);
    for (const fault of faults.filter(({ toMs }) => toMs === atMs)) end(fault, days, node);
    if ((atMs - startMs) % CADENCE_MS === 0) node.read();
    await node.send();
  }
  const { house } = days.life ?? first;
  const stored = storedIn(house.store, { fromMs: startMs - DAY_MS, toMs: trueMs() + DAY_MS });
  const refused = house.daemon.queries.refused().byCode;
  house.daemon.stop();
  house.store.close();
  return {
    faults,
    sent,
    stored,
    refused,
    acknowledged: node.acknowledged,
    kept: node.kept(),
    over: node.over,
  };
}

function storedIn({ probes, journal }: RecordStore, span: OverCeiling): Set<string> {
  const names = new Map(probes.all().map(({ id, name }) => [id, name]));
  const windows = journal.window({ probeIds: [...names.keys()], ...span });
  return new Set(
    windows.flatMap(({ probeId, timesMs, values }) =>
      Array.from(timesMs, (tMs, i) => `${names.get(probeId)} ${tMs} ${values[i]}`),
    ),
  );
}
