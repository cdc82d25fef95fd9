import { byUrgency } from '../../shared/harm/place-state.ts';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { alarmRank, isActiveAlarm, SHELVED_RANK } from '../alarms/alarms.ts';
import { LEAST_SILENCE_MS } from '../frame/apply.ts';

/** What places are weighed by, beside how they do. */
export type Outlook = { readonly alarms: readonly Alarm[]; readonly nowMs: number };

/** Alarms of a place that are active or were not seen, most urgent first. */
export function alarmsOfPlace(alarms: readonly Alarm[], placeId: string, nowMs: number): Alarm[] {
  return alarms
    .filter((alarm) => alarm.placeId === placeId && isActiveAlarm(alarm))
    .sort((a, b) => alarmRank(a, nowMs) - alarmRank(b, nowMs));
}

/** Whether the cover of a place keeps its air near saturation all day. */
export function isKeptDamp({ kind }: Pick<PlaceSummary, 'kind'>): boolean {
  return kind === 'dome' || kind === 'case';
}

/** Places, worst first: by how they do, not by who has acknowledged an alarm; equal ones by name. */
export function worstFirst(places: readonly PlaceSummary[], { alarms }: Outlook): PlaceSummary[] {
  const urgency = new Map(
    places.map(({ id, now }) => {
      const unanswered = alarms.some(
        ({ placeId, state }) => placeId === id && state.endsWith('unacknowledged'),
      );
      return [id, { ...now, unanswered }];
    }),
  );
  const ofPlace = ({ id, now }: PlaceSummary) => urgency.get(id) ?? { ...now, unanswered: false };
  return [...places].sort(
    (a, b) => byUrgency(ofPlace(a), ofPlace(b)) || a.name.localeCompare(b.name, 'en', { numeric: true }),
  );
}

/** Whether a place has anything worth saying in the top line: it does not do well, or an alarm was not seen. */
export function isTroubled({ id, now }: PlaceSummary, { alarms, nowMs }: Outlook): boolean {
  return now.state !== 'ok' || alarmsOfPlace(alarms, id, nowMs).length > 0;
}

/** Alarms of the installation itself that nobody acknowledged or put aside, most urgent first. */
export function houseAlarms({ alarms, nowMs }: Outlook): Alarm[] {
  return alarms
    .filter(({ placeId, state }) => placeId === null && state.endsWith('unacknowledged'))
    .filter((alarm) => alarmRank(alarm, nowMs) < SHELVED_RANK)
    .sort((a, b) => alarmRank(a, nowMs) - alarmRank(b, nowMs));
}

/** How many probes of a place report; one that an active alarm names as silent does not, however new its value still counts. */
export function probesReporting({ now }: Pick<PlaceSummary, 'now'>, alarms: readonly Alarm[]): number {
  const silent = new Set(
    alarms.flatMap(({ state, facts }) =>
      facts?.kind === 'no-data' && !state.startsWith('returned')
        ? facts.silent.map(({ probe }) => probe)
        : [],
    ),
  );
  return Math.max(0, Math.min(now.probesTelling, now.probesAssigned - silent.size));
}

/** Whether the newest reading of a place may no longer hold: a value is minutes old, or an alarm says silence. */
export function mayBeSilent(place: PlaceSummary, { alarms, nowMs }: Outlook): boolean {
  const { quantities, probesTelling } = place.now;
  const isOld = Object.values(quantities).some(
    ({ at, state }) => state !== 'stale' && nowMs - Date.parse(at) > LEAST_SILENCE_MS,
  );
  const saysSilence = alarmsOfPlace(alarms, place.id, nowMs).some(
    ({ rule }) => RULES[rule].group === 'silence',
  );
  return isOld || (saysSilence && probesTelling > 0);
}
