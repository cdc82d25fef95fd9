import type { Alarm } from '../../shared/model/alarm.ts';
import type { NowValue, PlaceSummary } from '../../shared/wire/http.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import { isShelved } from './alarms.ts';
import { differenceText, fixed, type TemperatureUnit, temperatureText } from './format.ts';
import { alarmsOfPlace, isTroubled, placesNeedingHand } from './rank.ts';
import { momentWords } from './time.ts';
import type { Layer, LimitSpan, Standing } from './trace.ts';

export type Tone = 'plain' | 'below' | 'above' | 'stale';
export type LayerWords = { readonly tone: Tone; readonly lead: string; readonly rest: readonly string[] };
export type LayerFacts = {
  readonly layer: Layer;
  readonly told: NowValue | null;
  readonly limits: LimitSpan | null;
  readonly standing: Standing | null;
};

const LAYER_NAMES: Readonly<Record<Layer, string>> = { air: 'air', vpd: 'leaf', rootZone: 'root zone' };

function sinceWords(standing: Standing | null, reader: Reader, side: Standing['side']): string {
  if (!standing || standing.side !== side) return '';
  const since = momentWords({ atMs: standing.sinceMs, ...reader });
  return standing.wholeTrace ? ` since ${since} or earlier` : ` since ${since}`;
}

function distanceText(facts: LayerFacts, side: 'below' | 'above', unit: TemperatureUnit): string {
  if (!facts.told || !facts.limits) return '';
  const limit = side === 'below' ? facts.limits.low : facts.limits.high;
  const distance = facts.told.value - limit;
  return facts.layer === 'vpd' ? fixed(Math.abs(distance), 2) : differenceText(distance, unit);
}

function inBandWords(standing: Standing | null, reader: Reader): string {
  if (!standing || standing.side !== 'within') return 'in band';
  const long = duration(reader.nowMs - standing.sinceMs);
  return standing.wholeTrace ? `in band ${long} and longer` : `in band ${long}`;
}

const LEAF_WORDS = {
  below: 'damper than it needs',
  within: 'damp enough',
  above: 'drying faster than it should',
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
  const since =
    facts.limits?.ceiling === facts.limits?.high ? sinceWords(facts.standing, reader, 'above') : '';
  return { tone: 'above', lead: `${over}over its ceiling${since}`, rest };
}

/** What stands beside the number of one layer of the section: where it is against its band, and since when. */
export function layerWords(facts: LayerFacts, reader: Reader): LayerWords {
  const { told } = facts;
  if (!told) return { tone: 'stale', lead: `no probe tells the ${LAYER_NAMES[facts.layer]}`, rest: [] };
  if (told.state === 'stale') {
    const atMs = Date.parse(told.at);
    const age = duration(reader.nowMs - atMs);
    return {
      tone: 'stale',
      lead: `stale: last told ${momentWords({ atMs, ...reader })}, ${age} ago`,
      rest: [],
    };
  }
  if (facts.layer === 'vpd') return leafWords(facts, told, reader);
  if (told.state === 'over-ceiling') return overCeilingWords(facts, reader);
  if (told.state === 'below' || told.state === 'above') {
    const since = sinceWords(facts.standing, reader, told.state);
    return {
      tone: told.state,
      lead: `${distanceText(facts, told.state, reader.unit)} ${told.state} its band${since}`,
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
  return facts.layer === 'vpd' && state !== 'stale'
    ? `the air at the leaf is ${words.lead}`
    : `${name} ${words.lead}`;
}

function allWellWords(told: readonly LayerFacts[], reader: Reader): string {
  const names = listWords(told.map(({ layer }) => LAYER_NAMES[layer]));
  const standings = told.map(({ standing }) => standing);
  const newest = Math.max(...standings.map((standing) => standing?.sinceMs ?? reader.nowMs));
  const whole = standings.every((standing) => standing?.wholeTrace);
  const long = duration(reader.nowMs - newest);
  const verb = told.length === 1 ? 'is' : 'are';
  const length = newest >= reader.nowMs ? '' : whole ? `, for ${long} and longer` : `, for ${long}`;
  return `${sentenceCase(names)} ${verb} in band${length}. Nothing to do.`;
}

/** The sentence that carries the state of a place when no alarm speaks for it. */
export function cardSentence(layers: readonly LayerFacts[], reader: Reader): string {
  const told = layers.filter((facts) => facts.told !== null);
  if (told.length === 0) return 'Nothing has been told yet. A probe named air or root is waited for.';
  if (told.every((facts) => facts.told?.state === 'stale')) {
    const newest = Math.max(...told.map((facts) => Date.parse(facts.told?.at ?? '')));
    const when = momentWords({ atMs: newest, ...reader });
    return `Nothing told since ${when}, ${duration(reader.nowMs - newest)} ago. What is drawn is old.`;
  }
  const troubles = layers.map((facts) => troubleOf(facts, reader)).filter((text) => text !== null);
  if (troubles.length > 0) return `${sentenceCase(troubles.join('; '))}.`;
  const judged = told.filter((facts) => facts.told?.state !== 'unjudged');
  return judged.length === 0 ? 'Told, and no band set for it.' : allWellWords(judged, reader);
}

/** What a place's worst alarm means in one clause for the top line, e.g. `is over its ceiling`. */
function clauseOf(place: PlaceSummary, alarm: Alarm | undefined, nowMs: number): string {
  if (!alarm) {
    const states = Object.values(place.now.quantities).map((told) => told.state);
    return states.length > 0 && states.every((state) => state === 'stale')
      ? 'tells nothing'
      : 'is out of its band';
  }
  if (isShelved(alarm, nowMs)) return 'has a shelved alarm';
  if (alarm.state === 'returned-unacknowledged') {
    return alarm.rule === 'no-data' ? 'fell silent and tells again' : 'was over its ceiling and came back';
  }
  if (alarm.rule === 'air-over-ceiling') return 'is over its ceiling';
  return alarm.facts?.kind === 'no-data' && !alarm.facts.wholePlace
    ? 'has a silent probe'
    : 'has fallen silent';
}

export type TopLine = {
  readonly call: string;
  readonly urgent: boolean;
  readonly clauses: readonly { readonly placeId: string; readonly name: string; readonly clause: string }[];
  readonly rest: string | null;
};

const MOST_CLAUSES = 4;

/** The one line at the top of the benches: what needs a hand now, worst first. */
export function topLine(
  placesWorstFirst: readonly PlaceSummary[],
  alarms: readonly Alarm[],
  nowMs: number,
): TopLine {
  const hands = placesNeedingHand(placesWorstFirst, alarms, nowMs);
  const troubled = placesWorstFirst.filter((place) => isTroubled(place, alarms, nowMs));
  const clauses = troubled.slice(0, MOST_CLAUSES).map((place) => ({
    placeId: place.id,
    name: place.name,
    clause: clauseOf(place, alarmsOfPlace(alarms, place.id, nowMs)[0], nowMs),
  }));
  const well = placesWorstFirst.length - troubled.length;
  const call =
    hands === 0
      ? 'Nothing needs a hand now.'
      : hands === 1
        ? 'One place needs a hand now.'
        : `${hands} places need a hand now.`;
  return {
    call,
    urgent: hands > 0,
    clauses,
    rest: restWords({ well, more: troubled.length - clauses.length, named: clauses.length }),
  };
}

function restWords(count: { well: number; more: number; named: number }): string | null {
  const more = count.more > 0 ? `${count.more} more out of band. ` : '';
  if (count.well === 0) return more.trim() || null;
  const which =
    count.named === 0
      ? count.well === 1
        ? 'It'
        : `All ${count.well} places`
      : count.well === 1
        ? 'The other'
        : `The other ${count.well}`;
  return `${more}${which} ${count.well === 1 ? 'is where it' : 'are where they'} should be.`;
}
