import type { Alarm } from '../../shared/model/alarm.ts';
import type { AlarmRule } from '../../shared/model/alarm-rules.ts';
import type { BandState, PlaceSummary, SeriesName } from '../../shared/wire/http.ts';
import { isReturned, isShelved, needsHand } from './alarms.ts';
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
  { of: 'airTemperatureC', state: 'over-ceiling', clause: 'is over its ceiling' },
  { of: 'rootZoneTemperatureC', state: 'above', clause: 'is too warm at the root' },
  { of: 'rootZoneTemperatureC', state: 'below', clause: 'is cold at the root' },
  { of: 'airTemperatureC', state: 'above', clause: 'is warm in the air' },
  { of: 'airVpdKpa', state: 'above', clause: 'is drying faster than it should' },
  { of: 'airTemperatureC', state: 'below', clause: 'is cool in the air' },
  { of: 'airVpdKpa', state: 'below', clause: 'is damper than it needs' },
];

const CLAUSE_OF: Readonly<Record<AlarmRule, { readonly is: string; readonly was: string }>> = {
  'air-over-ceiling': { is: 'is over its ceiling', was: 'was over its ceiling and came back' },
  'air-far-over-ceiling': { is: 'is far over its ceiling', was: 'was far over its ceiling and came back' },
  'air-below-band-at-night': { is: 'is too cold in the air', was: 'was too cold in the air' },
  'root-too-hot': { is: 'is too hot at the root', was: 'was too hot at the root' },
  'root-below-band': { is: 'has long been cold at the root', was: 'was long cold at the root' },
  'root-falling-towards-air': { is: 'is losing its bottom heat', was: 'lost bottom heat for a while' },
  'vpd-above-band-in-light': { is: 'is drying in light', was: 'was drying in light' },
  'no-mist-in-light': { is: 'has had no mist', was: 'had no mist for a while' },
  'vent-left-open': { is: 'has a vent open', was: 'had a vent open' },
  'saturated-too-long': { is: 'has long been saturated', was: 'was long saturated' },
  'air-warmer-than-root': { is: 'is warmer above than below', was: 'was warmer above than below' },
  'light-over-peak': { is: 'has too much light', was: 'had too much light' },
  'no-data': { is: 'has fallen silent', was: 'fell silent and tells again' },
  'power-back': { is: 'was silent and is back', was: 'was silent and is back' },
  'probe-suspect': { is: 'has a suspect probe', was: 'had a suspect probe' },
  'watch-was-down': { is: 'was not watched', was: 'was not watched' },
  'way-failing': { is: 'cannot reach somebody', was: 'could not reach somebody' },
  'test-unconfirmed': { is: 'has a test nobody confirmed', was: 'had a test nobody confirmed' },
  'record-not-writable': { is: 'cannot save readings', was: 'could not save readings for a while' },
  'clock-jumped': { is: 'has a clock that jumped', was: 'had a clock that jumped' },
  'message-set-aside': { is: 'could not store a message', was: 'could not store a message' },
  'restore-incomplete': { is: 'is not fully restored', was: 'was not fully restored' },
  'monitoring-fault': { is: 'is not fully monitored', was: 'was not fully monitored for a while' },
};

function alarmClause(alarm: Alarm, nowMs: number): string {
  if (isShelved(alarm, nowMs)) return 'has a shelved alarm';
  if (alarm.suppression === 'out-of-service') return 'has an alarm out of service';
  const said = CLAUSE_OF[alarm.rule];
  if (isReturned(alarm)) return said.was;
  const oneProbe = alarm.facts?.kind === 'no-data' && !alarm.facts.wholePlace;
  const clause = oneProbe ? 'has a silent probe' : said.is;
  return alarm.state === 'acknowledged' ? `${clause} (acknowledged)` : clause;
}

function clauseOf(place: PlaceSummary, { alarms, nowMs }: Outlook): string {
  const said = alarmsOfPlace(alarms, place.id, nowMs).map((alarm) => alarmClause(alarm, nowMs));
  if (said.length > 0) return said.join(' and ');
  const told = place.now.quantities;
  const found = CLAUSES.find(({ of, state }) => told[of]?.state === state);
  if (found) return found.clause;
  const stale = Object.values(told).some(({ state }) => state === 'stale');
  if (stale && place.now.catchingUp) return 'is catching up with stored readings';
  return stale ? 'has told nothing for a while' : 'was cold at the root in the last 24 h';
}

function callOf(hands: number, houseNeeds: boolean): string {
  if (hands === 0 && houseNeeds) return 'The house needs a hand now.';
  if (hands === 0) return 'Nothing needs a hand now.';
  return hands === 1 ? 'One place needs a hand now.' : `${hands} places need a hand now.`;
}

function restWords(count: { well: number; more: number; named: number }): string | null {
  const more = count.more > 0 ? `${count.more} more out of band. ` : '';
  if (count.well === 0) return more.trim() || null;
  const others = count.well === 1 ? 'The other' : `The other ${count.well}`;
  const all = count.well === 1 ? 'It' : `All ${count.well} places`;
  const ending = count.well === 1 ? 'is where it should be' : 'are where they should be';
  return `${more}${count.named === 0 ? all : others} ${ending}.`;
}

/** The one line at the top of the benches: what needs a hand now, worst first. */
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
