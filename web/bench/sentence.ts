import type { Exposures, NowValue, PlaceNow } from '../../shared/wire/http.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import { BLIND_WORDS, latelyWords, lookWords } from '../../shared/words/lately.ts';
import { degreeHoursText, differenceText, type TemperatureUnit, temperatureText } from '../common/format.ts';
import { momentWords } from '../common/time.ts';
import type { Layer, LimitSpan, Standing } from './trace.ts';

export type Tone = 'plain' | 'below' | 'above' | 'stale';
export type LayerWords = { readonly tone: Tone; readonly lead: string; readonly rest: readonly string[] };
export type LayerFacts = {
  readonly layer: Layer;
  readonly told: NowValue | null;
  readonly limits: LimitSpan | null;
  readonly standing: Standing | null;
  /** since when the alarm says that the ceiling is passed, ms; it saw every reading */
  readonly overSinceMs?: number | null;
};

const NEARLY_A_DAY_MS = 23.5 * 3_600_000;
/** PROPOSAL of the project: less than this in a day is not worth a sentence, °C·h */
export const WORTH_SAYING_CH = 1;
const MOST_LATELY = 2;

const LAYER_NAMES: Readonly<Record<Layer, string>> = { air: 'air', vpd: 'leaf', rootZone: 'root zone' };

function sinceWords(standing: Standing | null, reader: Reader, side: Standing['side']): string {
  if (!standing || standing.side !== side) return '';
  const since = momentWords({ atMs: standing.sinceMs, ...reader });
  return standing.wholeTrace ? ` since ${since} or earlier` : ` since ${since}`;
}

/** How far outside; empty when the limits at hand do not bear the state out, as just after a change of targets. */
function distanceWords({ told, limits }: LayerFacts, side: 'below' | 'above', unit: TemperatureUnit): string {
  if (!told || !limits) return '';
  const outsideK = side === 'below' ? limits.low - told.value : told.value - limits.high;
  return outsideK > 0 ? `${differenceText(outsideK, unit)} ` : '';
}

function lengthWords(sinceMs: number, wholeTrace: boolean, nowMs: number): string {
  const lengthMs = nowMs - sinceMs;
  if (!wholeTrace) return duration(lengthMs);
  return lengthMs > NEARLY_A_DAY_MS ? 'all the last 24 h' : `all ${duration(lengthMs)} on record`;
}

function inBandWords(standing: Standing | null, reader: Reader): string {
  if (standing?.side !== 'within') return 'in band';
  return `in band ${lengthWords(standing.sinceMs, standing.wholeTrace, reader.nowMs)}`;
}

const LEAF_WORDS = {
  below: 'VPD below target (very humid)',
  within: 'damp enough',
  above: 'VPD above target (drying)',
} as const;

function leafWords(facts: LayerFacts, told: NowValue, reader: Reader): LayerWords {
  const rest = ['air VPD'];
  if (told.state === 'below' || told.state === 'above') {
    const lead = `${LEAF_WORDS[told.state]}${sinceWords(facts.standing, reader, told.state)}`;
    return { tone: told.state, lead, rest };
  }
  return { tone: 'plain', lead: told.state === 'unjudged' ? 'no band set' : LEAF_WORDS.within, rest };
}

function overCeilingWords(facts: LayerFacts, reader: Reader): LayerWords {
  const ceiling = facts.limits?.ceiling ?? null;
  const rest = ceiling === null ? [] : [`ceiling ${temperatureText(ceiling, reader.unit)}`];
  const over =
    ceiling === null || !facts.told ? '' : `${differenceText(facts.told.value - ceiling, reader.unit)} `;
  const drawn =
    facts.limits?.ceiling === facts.limits?.high ? sinceWords(facts.standing, reader, 'above') : '';
  const atMs = facts.overSinceMs ?? null;
  const since = atMs === null ? drawn : ` since ${momentWords({ atMs, ...reader })}`;
  return { tone: 'above', lead: `${over}over its ceiling${since}`, rest };
}

/** What stands beside the number of one layer of the section: where it is against its band, and since when. */
export function layerWords(facts: LayerFacts, reader: Reader): LayerWords {
  const { told } = facts;
  if (!told) return { tone: 'stale', lead: `no probe for the ${LAYER_NAMES[facts.layer]}`, rest: [] };
  if (told.state === 'stale') {
    const atMs = Date.parse(told.at);
    const age = duration(reader.nowMs - atMs);
    return {
      tone: 'stale',
      lead: `out of date: last reading ${momentWords({ atMs, ...reader })}, ${age} ago`,
      rest: [],
    };
  }
  if (facts.layer === 'vpd') return leafWords(facts, told, reader);
  if (told.state === 'over-ceiling') return overCeilingWords(facts, reader);
  if (told.state === 'below' || told.state === 'above') {
    const since = sinceWords(facts.standing, reader, told.state);
    return {
      tone: told.state,
      lead: `${distanceWords(facts, told.state, reader.unit)}${told.state} its band${since}`,
      rest: [],
    };
  }
  return {
    tone: 'plain',
    lead: told.state === 'unjudged' ? 'no band set' : inBandWords(facts.standing, reader),
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
  const state = facts.told?.state;
  if (!state || state === 'within' || state === 'unjudged' || state === 'saturated') return null;
  const name = LAYER_NAMES[facts.layer];
  const words = layerWords(facts, reader);
  return facts.layer === 'vpd' && state !== 'stale' ? `leaf: ${words.lead}` : `${name} ${words.lead}`;
}

function inBandSentence(told: readonly LayerFacts[], reader: Reader): string {
  const names = listWords(told.map(({ layer }) => LAYER_NAMES[layer]));
  const standings = told.map(({ standing }) => standing);
  const newest = Math.max(...standings.map((standing) => standing?.sinceMs ?? reader.nowMs));
  const whole = standings.every((standing) => standing?.wholeTrace === true);
  const long = lengthWords(newest, whole, reader.nowMs);
  const verb = told.length === 1 ? 'has' : 'have';
  const length = newest >= reader.nowMs ? '' : whole ? ` ${long}` : ` for ${long}`;
  return `${sentenceCase(names)} ${verb} been in band${length}.`;
}

/** Whether the last day holds a cold spell of the root zone that is over and still worth a word. */
export function wasColdAtRoot(exposures: Exposures | null, root: NowValue | null): boolean {
  if (!exposures || !root || root.state === 'below' || root.state === 'stale') return false;
  return exposures.rootZone.degreeHoursBelow >= WORTH_SAYING_CH;
}

function coldSpellWords(exposures: Exposures, root: LayerFacts | undefined, reader: Reader): string {
  const lost = degreeHoursText(exposures.rootZone.degreeHoursBelow, reader.unit);
  const since = root?.standing?.side === 'within' && !root.standing.wholeTrace ? root.standing.sinceMs : null;
  const back = since === null ? '' : ` It is back since ${momentWords({ atMs: since, ...reader })}.`;
  return `Root zone lost ${lost} below its band in the last 24 h.${back} Look at the mat, its plug and its residual-current switch.`;
}

/** What of a place its sentence is made from, beside its layers. */
export type CardFacts = {
  /** exposures of the last 24 h, or `null` while they are not known */
  readonly day: Exposures | null;
  readonly now: Pick<PlaceNow, 'state' | 'lately' | 'blindTo' | 'catchingUp'>;
};

/** The sentence that carries the state of a place when no alarm speaks for it. */
export function cardSentence(layers: readonly LayerFacts[], { day, now }: CardFacts, reader: Reader): string {
  const told = layers.filter((facts) => facts.told !== null);
  if (told.length === 0) return 'No readings yet. Waiting for a root-zone or air probe.';
  if (told.every((facts) => facts.told?.state === 'stale')) {
    const newest = Math.max(...told.map((facts) => Date.parse(facts.told?.at ?? '')));
    const when = momentWords({ atMs: newest, ...reader });
    if (now.catchingUp)
      return `Catching up: stored readings are arriving, up to ${when} so far. Not monitored until they are current.`;
    return `No readings since ${when}, ${duration(reader.nowMs - newest)} ago. The chart is out of date.`;
  }
  const troubles = layers.map((facts) => troubleOf(facts, reader)).filter((text) => text !== null);
  const root = layers.find(({ layer }) => layer === 'rootZone');
  const spell = day && wasColdAtRoot(day, root?.told ?? null) ? coldSpellWords(day, root, reader) : null;
  const trouble = troubles.length > 0 ? `${sentenceCase(troubles.join('; '))}.` : null;
  const said = [trouble, ...blindSentences(now), spell, ...latelySentences(now, spell !== null, reader)];
  const found = said.filter((text) => text !== null);
  if (found.length > 0) return found.join(' ');
  const judged = told.filter((facts) => facts.told?.state !== 'unjudged');
  if (judged.length === 0) return 'Readings arriving; no targets set.';
  return `${inBandSentence(judged, reader)}${now.state === 'ok' ? ' Nothing to do.' : ''}`;
}

function blindSentences({ blindTo }: CardFacts['now']): string[] {
  return blindTo.map((blind) => `${sentenceCase(BLIND_WORDS[blind])}.`);
}

/** What the last 24 h did, worst first, and what to look at now; what still goes on is said already. */
function latelySentences({ lately }: CardFacts['now'], rootSaid: boolean, reader: Reader): string[] {
  const over = lately.filter(({ kind, to }) => to !== null && !(rootSaid && kind === 'root-zone-below-band'));
  const said = over.slice(0, MOST_LATELY).map((one) => `${sentenceCase(latelyWords(one, reader))}.`);
  const look = over.length > 0 && over[0] ? lookWords(over[0]) : null;
  return look === null ? said : [...said, look];
}
