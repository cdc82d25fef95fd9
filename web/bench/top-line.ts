import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { BandState, PlaceSummary, SeriesName } from '../../shared/wire/http.ts';
import { isReturned, isShelved, needsHand } from '../alarms/alarms.ts';
import { alarmsOfPlace, houseAlarms, isTroubled, type Outlook, placesNeedingHand } from './rank.ts';

export type TopLine = {
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

function alarmClause(alarm: Alarm, nowMs: number): string {
  if (isShelved(alarm, nowMs)) return 'an alarm is shelved';
  if (alarm.suppression === 'out-of-service') return 'an alarm is out of service';
  const words = RULES[alarm.rule].clause;
  if (isReturned(alarm)) return words.was;
  const oneProbe = alarm.facts?.kind === 'no-data' && !alarm.facts.wholePlace;
  const clause = oneProbe ? 'a probe is not reporting' : words.is;
  return alarm.state === 'acknowledged' ? `${clause} (acknowledged)` : clause;
}

function clauseOf(place: PlaceSummary, { alarms, nowMs }: Outlook): string {
  const words = alarmsOfPlace(alarms, place.id, nowMs).map((alarm) => alarmClause(alarm, nowMs));
  if (words.length > 0) return words.join('; ');
  const now = place.now.quantities;
  const found = CLAUSES.find(({ of, state }) => now[of]?.state === state);
  if (found) return found.clause;
  const stale = Object.values(now).some(({ state }) => state === 'stale');
  if (stale && place.now.catchingUp) return 'is catching up with stored readings';
  return stale ? 'not reporting' : 'root zone was too cold in the last 24 h';
}

function callOf(hands: number, houseNeeds: boolean): string {
  if (hands === 0 && houseNeeds) return 'The system needs attention.';
  if (hands === 0) return 'Nothing needs attention now.';
  return hands === 1 ? 'One place needs attention now.' : `${hands} places need attention now.`;
}

function restWords(count: { well: number; more: number; named: number }): string | null {
  const more = count.more > 0 ? `${count.more} more out of band. ` : '';
  if (count.well === 0) return more.trim() || null;
  const others = count.well === 1 ? 'The other' : `The other ${count.well}`;
  const all = count.well === 1 ? 'It' : `All ${count.well} places`;
  const ending = count.well === 1 ? 'is where it should be' : 'are where they should be';
  return `${more}${count.named === 0 ? all : others} ${ending}.`;
}

/** The one line at the top of the benches: what needs attention now, worst first. */
export function topLine(placesWorstFirst: readonly PlaceSummary[], outlook: Outlook): TopLine {
  const hands = placesNeedingHand(placesWorstFirst, outlook);
  const houseNeeds = houseAlarms(outlook).some((alarm) => needsHand(alarm, outlook.nowMs));
  const troubled = placesWorstFirst.filter((place) => isTroubled(place, outlook));
  const clauses = troubled.slice(0, MOST_CLAUSES).map((place) => ({
    placeId: place.id,
    name: place.name,
    clause: clauseOf(place, outlook),
  }));
  const well = placesWorstFirst.length - troubled.length;
  const rest = restWords({ well, more: troubled.length - clauses.length, named: clauses.length });
  return { call: callOf(hands, houseNeeds), urgent: hands > 0 || houseNeeds, clauses, rest };
}
