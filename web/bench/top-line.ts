import type { PlaceStateName } from '../../shared/harm/place-state.ts';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { factsFromWire } from '../../shared/rules/ceiling-alias.ts';
import { valueWords } from '../../shared/rules/limit-rule.ts';
import { isLimitRule, LIMIT_RULE_DEFINITIONS, RULES } from '../../shared/rules/rules.ts';
import type { BandState, PlaceSummary, SeriesName } from '../../shared/wire/http.ts';
import { BLIND_WORDS, latelyWords, saturatedWords } from '../../shared/words/lately.ts';
import { clock, type Reader, trendWords } from '../../shared/words/plain.ts';
import { isReturned, isShelved, needsHand } from '../alarms/alarms.ts';
import { alarmsOfPlace, houseAlarms, isKeptDamp, isTroubled, type Outlook } from './rank.ts';

type TopLine = {
  readonly call: string;
  readonly urgent: boolean;
  readonly clauses: readonly { readonly placeId: string; readonly name: string; readonly clause: string }[];
  readonly rest: string | null;
};

const MOST_CLAUSES = 4;

/** What is out of its band, in the order in which it harms a cutting soonest. */
const CLAUSES: readonly { readonly of: SeriesName; readonly state: BandState; readonly clause: string }[] = [
  { of: 'airTemperatureC', state: 'over-ceiling', clause: 'air over ceiling' },
  { of: 'rootZoneTemperatureC', state: 'above', clause: 'root zone too warm' },
  { of: 'rootZoneTemperatureC', state: 'below', clause: 'root zone too cold' },
  { of: 'airTemperatureC', state: 'above', clause: 'air too warm' },
  { of: 'airVpdKpa', state: 'above', clause: 'VPD above target (drying)' },
  { of: 'airTemperatureC', state: 'below', clause: 'air too cool' },
  { of: 'airVpdKpa', state: 'below', clause: 'VPD below target (very humid)' },
];

function alarmClause(alarm: Alarm, reader: Reader): string {
  if (isShelved(alarm, reader.nowMs)) return 'an alarm is shelved';
  if (alarm.suppression === 'out-of-service') return 'an alarm is out of service';
  const words = RULES[alarm.rule].clause;
  if (isReturned(alarm)) return words.was;
  if (alarm.notJudged) return `${words.is} when last judged`;
  const facts = factsFromWire(alarm.facts);
  const oneProbe = facts?.kind === 'no-data' && !facts.wholePlace;
  const clause = oneProbe ? 'a probe is not reporting' : words.is;
  return alarm.state === 'acknowledged'
    ? `${clause}${stillWords(alarm, reader)} (${seenWords(alarm, reader)})`
    : clause;
}

/** An acknowledgement cools nothing: how far it still is, and which way it goes. */
function stillWords({ rule, facts: onWire }: Alarm, reader: Reader): string {
  const facts = factsFromWire(onWire);
  if (facts?.kind !== 'past-limit' || !isLimitRule(rule) || LIMIT_RULE_DEFINITIONS[rule].unit !== 'Cel')
    return '';
  const far = valueWords('K', Math.abs(facts.value - facts.limit), reader);
  return `, still ${far} beyond its limit${trendWords(facts, reader)}`;
}

function seenWords({ acknowledgedBy, acknowledgedAtMs }: Alarm, reader: Reader): string {
  const by = acknowledgedBy === null ? '' : ` by ${acknowledgedBy}`;
  return `acknowledged${by}${acknowledgedAtMs === null ? '' : ` at ${clock(acknowledgedAtMs, reader)}`}`;
}

/** What is the matter at a place, in a clause behind its name. */
export function clauseOf(place: PlaceSummary, outlook: Outlook, reader: Reader): string {
  const { quantities, lately, blindTo, catchingUp } = place.now;
  const alarms = alarmsOfPlace(outlook.alarms, place.id, outlook.nowMs);
  if (alarms.length > 0) return alarmClauses(alarms, place, reader);
  const isAsKept = (of: SeriesName, state: BandState) =>
    of === 'airVpdKpa' && state === 'below' && isKeptDamp(place);
  const out = CLAUSES.find(({ of, state }) => quantities[of]?.state === state && !isAsKept(of, state));
  if (out) return out.clause;
  const isStale = Object.values(quantities).some(({ state }) => state === 'stale');
  if (isStale && catchingUp) return 'is catching up with stored readings';
  const [blind] = blindTo;
  if (blind) return BLIND_WORDS[blind];
  const [worst] = lately;
  if (worst) return latelyWords(worst, reader);
  return saturatedWords(place) ?? (isStale ? 'not reporting' : 'little on record yet');
}

/** Each once, what ended last; where all are over, what harmed the place comes before what merely ended. */
function alarmClauses(alarms: readonly Alarm[], { now }: PlaceSummary, reader: Reader): string {
  const worst = alarms.every(isReturned) ? now.lately.find(({ kind }) => kind !== 'no-data') : undefined;
  const others = worst ? alarms.filter(({ rule }) => RULES[rule].harm !== worst.kind) : alarms;
  const ended = others.filter(isReturned);
  const clauses = [...others.filter((one) => !isReturned(one)), ...ended].map((alarm) =>
    alarmClause(alarm, reader),
  );
  return [...new Set(worst ? [latelyWords(worst, reader), ...clauses] : clauses)].join('; ');
}

type Counted = { readonly act: number; readonly watch: number; readonly systemNeeds: boolean };

function callOf({ act, watch, systemNeeds }: Counted): string {
  if (act === 0 && systemNeeds) return 'The system needs attention.';
  if (act === 1) return 'One place needs attention now.';
  if (act > 1) return `${act} places need attention now.`;
  if (watch === 0) return 'Nothing needs attention now.';
  return `Nothing to do at once; keep an eye on ${watch === 1 ? 'one place' : `${watch} places`}.`;
}

function restWords(count: { well: number; more: number; named: number }): string | null {
  const more = count.more > 0 ? `${count.more} more to look at. ` : '';
  if (count.well === 0) return more.trim() || null;
  const others = count.well === 1 ? 'The other' : `The other ${count.well}`;
  const all = count.well === 1 ? 'It' : `All ${count.well} places`;
  const ending = count.well === 1 ? 'is where it should be' : 'are where they should be';
  return `${more}${count.named === 0 ? all : others} ${ending}.`;
}

/** The one line at the top of the benches: what needs attention now, worst first. */
export function topLine(
  placesWorstFirst: readonly PlaceSummary[],
  outlook: Outlook,
  reader: Reader,
): TopLine {
  const count = (name: PlaceStateName) => placesWorstFirst.filter(({ now }) => now.state === name).length;
  const act = count('act');
  const systemNeeds = houseAlarms(outlook).some((alarm) => needsHand(alarm, outlook.nowMs));
  const troubled = placesWorstFirst.filter((place) => isTroubled(place, outlook));
  const clauses = troubled.slice(0, MOST_CLAUSES).map((place) => ({
    placeId: place.id,
    name: place.name,
    clause: clauseOf(place, outlook, reader),
  }));
  const well = placesWorstFirst.length - troubled.length;
  const rest = restWords({ well, more: troubled.length - clauses.length, named: clauses.length });
  const call = callOf({ act, watch: count('watch'), systemNeeds });
  return { call, urgent: act > 0 || systemNeeds, clauses, rest };
}
