import type { ExcursionAnswer, ExcursionKind, NightRow } from '../wire/places/night.ts';
import { stretchesWords } from './lately.ts';
import { asSentence, difference, duration, type Reader } from './plain.ts';

/** A span, ms since epoch. */
type Span = { readonly fromMs: number; readonly toMs: number };

/** What is said of a place is made from this alone. */
type NightFacts = Pick<NightRow, 'excursions' | 'coverage' | 'maxGapMs'>;

/** All stretches of one kind in a night. */
export type KindOfNight = {
  readonly kind: ExcursionKind;
  /** the stretch that went furthest */
  readonly furthestOne: ExcursionAnswer;
  readonly totalMs: number;
  /** K·h or kPa·h; null where there is no course */
  readonly dose: number | null;
  readonly harm: number;
  readonly count: number;
  readonly fromMs: number;
  /** when the last one ended, ms since epoch; null while it goes on */
  readonly endedMs: number | null;
};

/** More are not read in a glance. */
const MOST_SAID = 3;
/** Shorter ones are noise of the probe at the edge of a band, ms. Proposal. */
const WORTH_SAYING_MS = 5 * 60_000;
/** Behind a place that was beyond a band for no longer than that. */
export const BUT_BRIEFLY = `but for less than ${duration(WORTH_SAYING_MS)}`;
/** Nor does a good probe tell less than this from the edge of a band, K. Common practice, no source. */
const WORTH_SAYING_K = 0.2;
const HOUR_MS = 3_600_000;

/** What happened at a place in a night, worst first; well is said only of what was seen. */
export function nightSentence(facts: NightFacts, span: Span, reader: Reader): string {
  if (facts.coverage === 0) return 'Nothing was read: how it did is not known.';
  const long = withoutEdges(kindsWorthSaying(facts));
  const said = long
    .filter(isFar)
    .slice(0, MOST_SAID)
    .map((one) => `${asSentence(stretchesWords(stretchesOf(one), { ...reader, nowMs: one.fromMs }))}.`);
  const unseenMs = unseenMsOf(facts, span);
  const unseen = unseenMs === 0 ? [] : [`Not known for ${duration(unseenMs)}: there were no readings.`];
  if (said.length > 0) return [...said, ...unseen].join(' ');
  const isOut = facts.excursions.some(({ kind }) => kind !== 'no-data');
  const most = `${difference(WORTH_SAYING_K, reader)} °${reader.unit}`;
  const briefly = isOut ? BUT_BRIEFLY : null;
  const how = long.length > 0 ? `but for less than ${most}` : briefly;
  if (unseenMs === 0) return `Within its bands ${how ?? 'throughout'}.`;
  return [`Within its bands while it was seen${how === null ? '' : `, ${how}`}.`, ...unseen].join(' ');
}

function isFar({ kind, furthestOne }: KindOfNight): boolean {
  const isBand = kind.endsWith('-above-band') || kind.endsWith('-below-band');
  const furthest = furthestOf(furthestOne);
  return !isBand || kind === 'vpd-above-band' || furthest === null || furthest >= WORTH_SAYING_K;
}

/** Beyond a band on the way to a harder limit, and back from it. */
const HARDER: Readonly<Partial<Record<ExcursionKind, ExcursionKind>>> = {
  'air-above-band': 'air-over-ceiling',
  'air-below-band': 'air-far-too-cold',
  'root-zone-above-band': 'root-zone-over-ceiling',
};

/** A band that was left for no longer than the harder limit behind it needs no sentence of its own. */
function withoutEdges(kinds: readonly KindOfNight[]): readonly KindOfNight[] {
  return kinds.filter(
    ({ kind, totalMs }) => !kinds.some((one) => one.kind === HARDER[kind] && one.totalMs >= totalMs),
  );
}

/** How far a place stayed within its limits in a night, as far as it was read. */
export type Held = 'throughout' | 'while-read' | 'nearly' | 'left' | 'unknown';

/** How far a place stayed within its limits; `nearly`: beyond them, too shortly to be worth a word. */
export function heldOf(row: Pick<NightRow, 'excursions' | 'coverage'>): Held {
  if (row.coverage === 0) return 'unknown';
  if (kindsWorthSaying(row).length > 0) return 'left';
  if (row.excursions.some(({ kind }) => kind !== 'no-data')) return 'nearly';
  return row.excursions.length > 0 ? 'while-read' : 'throughout';
}

/** For how long nothing was read, ms; 0 where it is no more than a gap between readings. */
export function unseenMsOf({ coverage, maxGapMs }: NightFacts, { fromMs, toMs }: Span): number {
  // a share is a fraction: what it stands for is rounded to the ms it was made from
  const unseenMs = Math.round((1 - coverage) * (toMs - fromMs));
  return unseenMs <= maxGapMs ? 0 : unseenMs;
}

/** What was beyond its limit for long enough to be worth a word, by kind, worst first. */
export function kindsWorthSaying({ excursions }: Pick<NightFacts, 'excursions'>): KindOfNight[] {
  return [...Map.groupBy(excursions, ({ kind }) => kind).values()]
    .map(together)
    .filter(({ kind, totalMs }) => kind !== 'no-data' && totalMs >= WORTH_SAYING_MS)
    .sort((a, b) => b.harm - a.harm || b.totalMs - a.totalMs);
}

/** How far a value was beyond its limit, K or kPa; null where it is not measured so. */
function furthestOf({ peak, limit }: ExcursionAnswer): number | null {
  return peak === null || limit === null ? null : Math.abs(peak - limit);
}

function together(stretches: readonly ExcursionAnswer[]): KindOfNight {
  const sum = (of: (one: ExcursionAnswer) => number) => stretches.reduce((total, one) => total + of(one), 0);
  const reach = (one: ExcursionAnswer) => furthestOf(one) ?? one.overLimitHours;
  const furthestOne = stretches.reduce((worst, one) => (reach(one) > reach(worst) ? one : worst));
  const ended = stretches.map(({ to }) => (to === null ? null : Date.parse(to)));
  return {
    kind: furthestOne.kind,
    furthestOne,
    // hours are fractions: their sum is rounded to the ms it was made from
    totalMs: Math.round(sum(({ overLimitHours }) => overLimitHours) * HOUR_MS),
    dose: stretches.every(({ dose }) => dose === null) ? null : sum(({ dose }) => dose ?? 0),
    harm: sum(({ harm }) => harm ?? 0),
    count: stretches.length,
    fromMs: Math.min(...stretches.map(({ from }) => Date.parse(from))),
    endedMs: ended.includes(null) ? null : Math.max(...ended.map((atMs) => atMs ?? 0)),
  };
}

function stretchesOf({ kind, furthestOne, totalMs, count, fromMs, endedMs }: KindOfNight) {
  const furthest = furthestOf(furthestOne);
  return { kind, furthest, peak: furthestOne.peak, totalMs, count, fromMs, goesOn: endedMs === null };
}
