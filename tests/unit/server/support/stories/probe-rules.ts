import type { LimitRule } from '../../../../../shared/rules/rules.ts';
import { bandC, MAX_GAP_MS, type Moment, usedOf } from './climate.ts';
import { farTooColdC, rootCeilingC } from './harm.ts';
import type { Happening, Played } from './played.ts';
import type { ProbeName } from './story.ts';

/**
 * Rules that hold each reading of a probe against a limit, worked out again from all that happened: a probe is past its
 * limit once readings past it, one after the other, have spent the on-delay, the faster the further they lie beyond; it has
 * recovered once readings back by the deadband have lasted for the off-delay. Nothing else ends it.
 */
export type ProbeRule = {
  readonly rule: LimitRule;
  readonly position: string;
  readonly side: 1 | -1;
  readonly deadband: number;
  readonly onDelayMin: number;
  readonly offDelayMin: number;
  readonly halving: number | null;
  readonly fromFirst: boolean;
  readonly needsMat: boolean;
  /** the limit that raises; null where none is asked */
  readonly limit: (moment: Moment) => number | null;
  /** the limit that what is past it is held to */
  readonly hold?: (moment: Moment) => number;
};

const HEAT = {
  position: 'air/temperature',
  side: 1,
  deadband: 0.5,
  offDelayMin: 1,
  needsMat: false,
} as const;
const COLD = { ...HEAT, side: -1 } as const;
const ROOT = { position: 'root/temperature', deadband: 0.3, offDelayMin: 1 } as const;
const airLowC = (moment: Moment) => bandC(moment, 'air', 'lowC');

export const PROBE_RULES: readonly ProbeRule[] = [
  {
    ...HEAT,
    rule: 'air-over-ceiling',
    onDelayMin: 1,
    halving: 5,
    fromFirst: true,
    limit: ({ targets }) => targets.air.ceilingC,
  },
  {
    ...HEAT,
    rule: 'air-far-over-ceiling',
    onDelayMin: 0,
    halving: null,
    fromFirst: true,
    limit: ({ targets: { air } }) => (air.ceilingC < 38 ? Math.min(air.ceilingC + 5, 38) : air.ceilingC + 5),
  },
  {
    ...COLD,
    rule: 'air-below-band-at-night',
    onDelayMin: 30,
    halving: 3,
    fromFirst: false,
    limit: (moment) => (moment.night ? airLowC(moment) : null),
    hold: airLowC,
  },
  {
    ...COLD,
    rule: 'air-below-band-by-day',
    onDelayMin: 240,
    halving: 4,
    fromFirst: false,
    limit: (moment) => (moment.night ? null : airLowC(moment)),
    hold: airLowC,
  },
  { ...COLD, rule: 'air-far-too-cold', onDelayMin: 5, halving: 3, fromFirst: true, limit: farTooColdC },
  {
    ...ROOT,
    rule: 'root-too-hot',
    side: 1,
    onDelayMin: 2,
    halving: null,
    fromFirst: true,
    needsMat: false,
    limit: rootCeilingC,
  },
  {
    ...ROOT,
    rule: 'root-below-band',
    side: -1,
    onDelayMin: 120,
    halving: 2,
    fromFirst: false,
    needsMat: true,
    limit: (moment) => bandC(moment, 'rootZone', 'lowC'),
  },
  {
    rule: 'light-over-peak',
    position: 'light/ppfd',
    side: 1,
    deadband: 10,
    onDelayMin: 5,
    offDelayMin: 5,
    halving: null,
    fromFirst: false,
    needsMat: false,
    limit: ({ targets }) => targets.alarms?.peakPpfdUmolM2S ?? null,
  },
];

export type ModelEvent = {
  readonly transition: 'raised' | 'returned' | 'not-judged';
  readonly atMs: number;
  /** returned without having moved by itself: its limit did, or its probe was corrected */
  readonly moved?: boolean;
};

type Source = {
  isPast: boolean;
  run: { elapsedMs: number; lastMs: number; pace: number } | null;
  okSinceMs: number | null;
  /** the limit it was past when it was last past one */
  pastLimit: number | null;
  corrected: boolean;
  moved: boolean;
};

const MINUTE_MS = 60_000;
const SETTLED_MS = 10 * MINUTE_MS;

/** What the alarm of a rule does over a story. */
export function modelled(of: ProbeRule, played: Played, momentAt: (tMs: number) => Moment): ModelEvent[] {
  const model = new RuleModel(of, momentAt);
  for (const one of played.log) model.take(one);
  return model.events;
}

class RuleModel {
  readonly events: ModelEvent[] = [];
  readonly #of: ProbeRule;
  readonly #momentAt: (tMs: number) => Moment;
  readonly #sources = new Map<ProbeName, Source>();
  readonly #offsets = new Map<ProbeName, number>();
  readonly #gone = new Set<ProbeName>();
  #active = false;
  #asked: { on: boolean | null; mat: boolean | null } = { on: null, mat: null };
  #upSinceMs = 0;
  #settledMs = Number.POSITIVE_INFINITY;

  constructor(of: ProbeRule, momentAt: (tMs: number) => Moment) {
    this.#of = of;
    this.#momentAt = momentAt;
  }

  take(one: Happening): void {
    if (one.kind === 'pack') this.#takePack(one);
    if (one.kind === 'time') {
      if (!this.#isOn()) this.#drop(one.toMs, [...this.#sources.keys()]);
      this.#passTo(one.toMs);
    }
    if (one.kind === 'down') this.#upSinceMs = one.toMs;
    if (one.kind === 'rule' && one.rule === this.#of.rule) this.#asked = { ...this.#asked, on: one.on };
    if (one.kind === 'mat') this.#asked = { ...this.#asked, mat: one.mat };
    if (one.kind === 'archive') {
      this.#gone.add(one.probe);
      this.#drop(one.atMs, [one.probe]);
    }
    if (one.kind === 'correct') {
      this.#offsets.set(one.probe, one.offset);
      const source = this.#sources.get(one.probe);
      if (source?.isPast) Object.assign(source, { okSinceMs: null, corrected: true });
    }
  }

  #takePack({ tMs, values }: Extract<Happening, { kind: 'pack' }>): void {
    this.#settledMs = Math.min(this.#settledMs, tMs + SETTLED_MS);
    for (const [name, raw] of values) {
      const value = usedOf(name, raw, this.#offsets.get(name) ?? 0);
      const counts = name.startsWith(this.#of.position) && !this.#gone.has(name) && this.#isOn();
      if (counts && value !== null) this.#judge(name, tMs, value);
    }
  }

  #isOn(): boolean {
    return this.#asked.on ?? !(this.#of.needsMat && this.#asked.mat === false);
  }

  #judge(name: ProbeName, tMs: number, value: number): void {
    const of = this.#of;
    const source = this.#sources.get(name) ?? newSource();
    this.#sources.set(name, source);
    const moment = this.#momentAt(tMs);
    if (source.isPast) {
      judgePast(source, { tMs, value, limit: (of.hold ?? of.limit)(moment), of });
    } else {
      const excess = excessOf(of, value, of.limit(moment));
      judgeClear(source, { tMs, excess, of, mayRaise: of.fromFirst || tMs >= this.#settledMs });
      if (excess > 0) source.pastLimit = of.limit(moment);
    }
    this.#settle(tMs, source.moved);
  }

  #isPast(): boolean {
    return [...this.#sources.values()].some(({ isPast }) => isPast);
  }

  #settle(atMs: number, moved = false): void {
    const now = this.#isPast();
    if (now && !this.#active) this.events.push({ transition: 'raised', atMs });
    if (!now && this.#active) this.events.push({ transition: 'returned', atMs, moved });
    this.#active = now;
  }

  #dueMs({ run, isPast }: Source): number {
    if (run === null || isPast) return Number.POSITIVE_INFINITY;
    const atMs = Math.max(
      run.lastMs + Math.max(0, this.#of.onDelayMin * MINUTE_MS - run.elapsedMs) / run.pace,
      this.#of.fromFirst ? 0 : this.#settledMs,
      this.#upSinceMs,
    );
    return atMs - run.lastMs > MAX_GAP_MS ? Number.POSITIVE_INFINITY : atMs;
  }

  #passTo(toMs: number): void {
    const inOrder = [...this.#sources.values()].sort((a, b) => this.#dueMs(a) - this.#dueMs(b));
    for (const source of inOrder) {
      const atMs = this.#dueMs(source);
      if (atMs > toMs || !this.#isOn()) continue;
      source.isPast = true;
      source.run = null;
      this.#settle(atMs);
    }
  }

  #drop(atMs: number, names: readonly ProbeName[]): void {
    for (const name of names) this.#sources.delete(name);
    const now = this.#isPast();
    if (this.#active && !now) this.events.push({ transition: 'not-judged', atMs });
    this.#active = now;
  }
}

function newSource(): Source {
  return { isPast: false, run: null, okSinceMs: null, pastLimit: null, corrected: false, moved: false };
}

type Judged = { readonly tMs: number; readonly of: ProbeRule };

function judgePast(
  source: Source,
  { tMs, value, limit, of }: Judged & { readonly value: number; readonly limit: number | null },
): void {
  const isBack = limit !== null && isBackBy(of, value, limit);
  if (!isBack) {
    source.okSinceMs = null;
    source.corrected = false;
    if (excessOf(of, value, limit) > 0) source.pastLimit = limit;
    return;
  }
  if (source.okSinceMs === null) {
    source.okSinceMs = tMs;
    source.moved = source.corrected || excessOf(of, value, source.pastLimit) > 0;
    source.corrected = false;
    if (of.offDelayMin > 0) return;
  }
  if (tMs - source.okSinceMs < of.offDelayMin * MINUTE_MS) return;
  Object.assign(source, { isPast: false, run: null, okSinceMs: null });
}

function judgeClear(
  source: Source,
  { tMs, excess, of, mayRaise }: Judged & { readonly excess: number; readonly mayRaise: boolean },
): void {
  source.moved = false;
  source.corrected = false;
  if (excess <= 0) {
    source.run = null;
    return;
  }
  const pace = of.halving === null ? 1 : 2 ** Math.min(excess / of.halving, 10);
  const { run } = source;
  const elapsedMs = run === null ? 0 : run.elapsedMs + (tMs - run.lastMs) * run.pace;
  source.run = { elapsedMs, lastMs: tMs, pace };
  if (!mayRaise || elapsedMs < of.onDelayMin * MINUTE_MS) return;
  source.isPast = true;
  source.run = null;
}

function isBackBy({ side, deadband }: ProbeRule, value: number, limit: number): boolean {
  return side === 1 ? value <= limit - deadband : value >= limit + deadband;
}

function excessOf({ side }: ProbeRule, value: number, limit: number | null): number {
  return limit === null ? Number.NEGATIVE_INFINITY : side * (value - limit);
}
