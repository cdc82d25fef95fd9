import type { Exposures, NowValue, PlaceNow } from '../../shared/wire/http.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import { afterwardsWords, BLIND_WORDS, latelyTogether } from '../../shared/words/lately.ts';
import { degreeHoursText, differenceText, type TemperatureUnit, temperatureText } from '../common/format.ts';
import { momentWords } from '../common/time.ts';
import type { Deviation, Layer, LimitSpan } from './trace.ts';

/** What of the exposures of a day a card says. */
type Day = Pick<Exposures, 'rootZone'>;

type Tone = 'plain' | 'below' | 'above' | 'stale';
export type LayerWords = { readonly tone: Tone; readonly lead: string; readonly rest: readonly string[] };
export type LayerFacts = {
  readonly layer: Layer;
  readonly current: NowValue | null;
  /** deficit at the leaf, where it is more than an echo of the air's */
  readonly leaf?: NowValue | null;
  /** a cover keeps its air near saturation: that is as it should be */
  readonly keptDamp?: boolean;
  readonly limits: LimitSpan | null;
  readonly deviation: Deviation | null;
  /** since when the alarm says that the ceiling is passed, ms; it saw every reading */
  readonly overSinceMs?: number | null;
};

const NEARLY_A_DAY_MS = 23.5 * 3_600_000;
/** PROPOSAL of the project: less than this in a day is not worth a sentence, °C·h */
const WORTH_SAYING_CH = 1;
const MOST_LATELY = 2;
/** PROPOSAL of the project: an estimate at the leaf that leaves less open is that of the air, kPa */
const WORTH_SAYING_KPA = 0.05;

const LAYER_NAMES: Readonly<Record<Layer, string>> = { air: 'air', vpd: 'leaf', rootZone: 'root zone' };

/** A point of a trace covers five minutes: a trace as short as two of them says nothing of since when. */
const SHORT_TRACE_MS = 10 * 60_000;

/** Whether a standing rests on all there is, and that is a few readings. */
function isShort({ deviation, current }: Pick<LayerFacts, 'deviation' | 'current'>): boolean {
  if (deviation?.wholeTrace !== true || current === null) return false;
  return Date.parse(current.at) - deviation.sinceMs < SHORT_TRACE_MS;
}

function sinceWords({ deviation, current }: LayerFacts, reader: Reader, side: Deviation['side']): string {
  if (!deviation || deviation.side !== side || isShort({ deviation, current })) return '';
  const since = momentWords({ atMs: deviation.sinceMs, ...reader });
  return deviation.wholeTrace ? ` since ${since} or earlier` : ` since ${since}`;
}

/** How far outside; empty when the limits at hand do not bear the state out, as just after a change of targets. */
function distanceWords(
  { current, limits }: LayerFacts,
  side: 'below' | 'above',
  unit: TemperatureUnit,
): string {
  if (!current || !limits) return '';
  const outsideK = side === 'below' ? limits.low - current.value : current.value - limits.high;
  return outsideK > 0 ? `${differenceText(outsideK, unit)} ` : '';
}

function lengthWords(sinceMs: number, wholeTrace: boolean, nowMs: number): string {
  const lengthMs = nowMs - sinceMs;
  if (!wholeTrace) return duration(lengthMs);
  return lengthMs > NEARLY_A_DAY_MS ? 'all the last 24 h' : `all ${duration(lengthMs)} on record`;
}

function inBandWords({ deviation, current }: LayerFacts, reader: Reader): string {
  if (deviation?.side !== 'within' || isShort({ deviation, current })) return 'in band';
  return `in band ${lengthWords(deviation.sinceMs, deviation.wholeTrace, reader.nowMs)}`;
}

const LEAF_WORDS = {
  below: 'VPD below target (very humid)',
  within: 'damp enough',
  above: 'VPD above target (drying)',
} as const;

/** At the leaf itself, as light warms it: an estimate with what it leaves open. */
function atLeafWords({ leaf }: LayerFacts): string[] {
  if (!leaf?.range || leaf.state === 'stale' || leaf.range.high - leaf.range.low < WORTH_SAYING_KPA)
    return [];
  const [value, low, high] = [leaf.value, leaf.range.low, leaf.range.high].map((kpa) => kpa.toFixed(2));
  return [`at the leaf about ${value} kPa, estimated from the light (${low} to ${high})`];
}

/** Whether the VPD of a layer is below its band only because its place is closed, as it should be. */
function isDampAsKept({ layer, keptDamp, current }: LayerFacts): boolean {
  return layer === 'vpd' && keptDamp === true && current?.state === 'below';
}

function leafWords(facts: LayerFacts, current: NowValue, reader: Reader): LayerWords {
  const rest = ['air VPD', ...atLeafWords(facts)];
  if (isDampAsKept(facts)) return { tone: 'plain', lead: 'near saturation, as its cover keeps it', rest };
  if (current.state === 'below' || current.state === 'above') {
    const lead = `${LEAF_WORDS[current.state]}${sinceWords(facts, reader, current.state)}`;
    return { tone: current.state, lead, rest };
  }
  return { tone: 'plain', lead: current.state === 'unjudged' ? 'no band set' : LEAF_WORDS.within, rest };
}

function overCeilingWords(facts: LayerFacts, reader: Reader): LayerWords {
  const ceiling = facts.limits?.ceiling ?? null;
  const rest = ceiling === null ? [] : [`ceiling ${temperatureText(ceiling, reader.unit)}`];
  const over =
    ceiling === null || !facts.current
      ? ''
      : `${differenceText(facts.current.value - ceiling, reader.unit)} `;
  const drawn = facts.limits?.ceiling === facts.limits?.high ? sinceWords(facts, reader, 'above') : '';
  const atMs = facts.overSinceMs ?? null;
  const since = atMs === null ? drawn : ` since ${momentWords({ atMs, ...reader })}`;
  return { tone: 'above', lead: `${over}over its ceiling${since}`, rest };
}

/** What stands beside the number of one layer of the section: where it is against its band, and since when. */
export function layerWords(facts: LayerFacts, reader: Reader): LayerWords {
  const { current } = facts;
  if (!current) return { tone: 'stale', lead: `no probe for the ${LAYER_NAMES[facts.layer]}`, rest: [] };
  if (current.state === 'stale') {
    const atMs = Date.parse(current.at);
    const age = duration(reader.nowMs - atMs);
    return {
      tone: 'stale',
      lead: `out of date: last reading ${momentWords({ atMs, ...reader })}, ${age} ago`,
      rest: [],
    };
  }
  if (facts.layer === 'vpd') return leafWords(facts, current, reader);
  if (current.state === 'over-ceiling') return overCeilingWords(facts, reader);
  if (current.state === 'below' || current.state === 'above') {
    const since = sinceWords(facts, reader, current.state);
    return {
      tone: current.state,
      lead: `${distanceWords(facts, current.state, reader.unit)}${current.state} its band${since}`,
      rest: [],
    };
  }
  return {
    tone: 'plain',
    lead: current.state === 'unjudged' ? 'no band set' : inBandWords(facts, reader),
    rest: [],
  };
}

/** How the root zone lies to the air: the base should be the warmer. */
export function baseAgainstAir(
  root: NowValue | null,
  air: NowValue | null,
  unit: TemperatureUnit,
): string | null {
  if (!root || !air || root.state === 'stale' || air.state === 'stale') return null;
  const apart = differenceText(root.value - air.value, unit);
  if (Number(apart) === 0) return 'as warm as the air';
  return root.value > air.value ? `${apart} warmer than the air` : `${apart} cooler than the air`;
}

function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function listWords(names: readonly string[]): string {
  if (names.length < 2) return names.join('');
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

function troubleOf(facts: LayerFacts, reader: Reader): string | null {
  const state = facts.current?.state;
  if (!state || state === 'within' || state === 'unjudged' || state === 'saturated') return null;
  if (isDampAsKept(facts)) return null;
  const name = LAYER_NAMES[facts.layer];
  const words = layerWords(facts, reader);
  return facts.layer === 'vpd' && state !== 'stale' ? `leaf: ${words.lead}` : `${name} ${words.lead}`;
}

function inBandSentence(current: readonly LayerFacts[], reader: Reader): string {
  const names = listWords(current.map(({ layer }) => LAYER_NAMES[layer]));
  const deviations = current.map(({ deviation }) => deviation);
  const newest = Math.max(...deviations.map((deviation) => deviation?.sinceMs ?? reader.nowMs));
  const whole = deviations.every((deviation) => deviation?.wholeTrace === true);
  const long = lengthWords(newest, whole, reader.nowMs);
  const verb = current.length === 1 ? 'has' : 'have';
  const isUnknown = newest >= reader.nowMs || current.some(isShort);
  const length = whole ? ` ${long}` : ` for ${long}`;
  if (isUnknown) return `${sentenceCase(names)} ${current.length === 1 ? 'is' : 'are'} in band.`;
  return `${sentenceCase(names)} ${verb} been in band${length}.`;
}

/** Whether the last day holds a cold spell of the root zone that is over and still worth a word. */
function wasColdAtRoot(exposures: Day | null, root: NowValue | null): boolean {
  if (!exposures || !root || root.state === 'below' || root.state === 'stale') return false;
  return exposures.rootZone.degreeHoursBelow >= WORTH_SAYING_CH;
}

function coldSpellWords(exposures: Day, root: LayerFacts | undefined, reader: Reader): string {
  const lost = degreeHoursText(exposures.rootZone.degreeHoursBelow, reader.unit);
  const since =
    root?.deviation?.side === 'within' && !root.deviation.wholeTrace ? root.deviation.sinceMs : null;
  const back = since === null ? '' : ` It is back since ${momentWords({ atMs: since, ...reader })}.`;
  return `Root zone lost ${lost} below its band in the last 24 h.${back} Look at the mat, its plug and its residual-current switch.`;
}

/** What of a place its sentence is made from, beside its layers. */
type CardFacts = {
  /** exposures of the last 24 h, or `null` while they are not known */
  readonly day: Day | null;
  readonly now: Pick<PlaceNow, 'state' | 'lately' | 'blindTo' | 'catchingUp' | 'firstReadings'>;
  /** that its air is saturated, where its target sheet asks about that */
  readonly saturated?: string | null;
};

/** The sentence that carries the state of a place when no alarm does. */
export function cardSentence(
  layers: readonly LayerFacts[],
  { day, now, saturated = null }: CardFacts,
  reader: Reader,
): string {
  const current = layers.filter((facts) => facts.current !== null);
  if (current.length === 0) return 'No readings yet. Waiting for a root-zone or air probe.';
  const waiting = now.firstReadings === true ? 'Waiting for its next reading.' : null;
  if (current.every((facts) => facts.current?.state === 'stale')) {
    if (waiting) return waiting;
    const newest = Math.max(...current.map((facts) => Date.parse(facts.current?.at ?? '')));
    const when = momentWords({ atMs: newest, ...reader });
    if (now.catchingUp)
      return `Catching up: stored readings are arriving, up to ${when} so far. Not monitored until they are current.`;
    return `No readings since ${when}, ${duration(reader.nowMs - newest)} ago. The chart is out of date.`;
  }
  const troubles = layers.map((facts) => troubleOf(facts, reader)).filter((text) => text !== null);
  const root = layers.find(({ layer }) => layer === 'rootZone');
  const spell = day && wasColdAtRoot(day, root?.current ?? null) ? coldSpellWords(day, root, reader) : null;
  const trouble = troubles.length > 0 ? `${sentenceCase(troubles.join('; '))}.` : null;
  const said = [
    trouble,
    ...blindSentences(now),
    saturated && `${sentenceCase(saturated)}.`,
    spell,
    ...latelySentences(now, spell !== null, reader),
    waiting,
  ];
  const found = said.filter((text) => text !== null);
  if (found.length > 0) return found.join(' ');
  const judged = current.filter((facts) => facts.current?.state !== 'unjudged');
  if (judged.length === 0) return 'Readings arriving; no targets set.';
  return `${inBandSentence(judged, reader)}${now.state === 'ok' ? ' Nothing to do.' : ''}`;
}

function blindSentences({ blindTo }: CardFacts['now']): string[] {
  return blindTo.map((blind) => `${sentenceCase(BLIND_WORDS[blind])}.`);
}

/** What harmed a place, said beside alarms that are over; null where nothing did. */
export function harmedSentence({ lately }: Pick<PlaceNow, 'lately'>, reader: Reader): string | null {
  const harmed = lately.filter(({ kind }) => kind !== 'no-data');
  return latelySentences({ lately: harmed }, false, reader).join(' ') || null;
}

/** What the last 24 h did, worst first, and what to look at now; what still goes on is said already. */
function latelySentences({ lately }: Pick<PlaceNow, 'lately'>, rootSaid: boolean, reader: Reader): string[] {
  const over = lately.filter(({ kind, to }) => to !== null && !(rootSaid && kind === 'root-zone-below-band'));
  const said = latelyTogether(over, reader)
    .slice(0, MOST_LATELY)
    .map((words) => `${sentenceCase(words)}.`);
  const look = over.length > 0 && over[0] ? afterwardsWords(over[0]) : null;
  return look === null ? said : [...said, look];
}
