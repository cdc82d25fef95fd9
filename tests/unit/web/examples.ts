import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import { ceilingAlarmOf } from '../../../shared/rules/ceiling-alias.ts';
import type {
  BandState,
  Exposures,
  HouseFacts,
  NowValue,
  PlaceCondition,
  PlaceSummary,
  SeriesName,
} from '../../../shared/wire/http.ts';

/** 14:06 UTC on a Thursday. */
export const NOW_MS = Date.UTC(2026, 2, 5, 14, 6);
export const MINUTE_MS = 60_000;
export const HOUR_MS = 3_600_000;

export const TARGETS: Targets = {
  dayStart: '06:00',
  nightStart: '20:00',
  rootZone: { day: { lowC: 21.1, highC: 26.7 }, night: { lowC: 21.1, highC: 26.7 } },
  air: { day: { lowC: 21.1, highC: 26.7 }, night: { lowC: 13, highC: 18 }, ceilingC: 26.7 },
  vpd: { lowKpa: 0.1, highKpa: 0.5 },
  saturation: { relativeHumidityPct: 97 },
};

export const HOUSE: HouseFacts = {
  version: '0.1.0',
  timeZone: 'UTC',
  broker: { embedded: true, address: 'mqtt://127.0.0.1:1883', connected: true },
  readings: { received: 0, refused: 0, conflicts: 0 },
  demo: { running: false, progressPct: null },
  webhook: { set: false, waiting: 0, lastError: null },
  store: { writable: true, since: null },
  backup: { lastAt: null, running: false, progressPct: null, lastError: null },
  room: { databaseBytes: 0, freeBytes: 0, bytesPerDay: null, daysLeft: null },
};

export const nowValue = (value: number, state: BandState, atMs = NOW_MS): NowValue => ({
  value,
  state,
  unit: '',
  at: new Date(atMs).toISOString(),
  estimated: false,
});

const SETTINGS = { ...DEFAULT_PLACE_SETTINGS, ceilingAlarm: ceilingAlarmOf({}) };

/** How a place does that does well. */
export const WELL: PlaceCondition = { state: 'ok', harm: 0, minutesLeft: null, blindTo: [], lately: [] };

/** A place whose air, leaf and root zone are within, but for what is given. */
export function placeNamed(
  id: string,
  quantities: Partial<Record<SeriesName, NowValue>> = {},
  change: Partial<PlaceCondition> = {},
): PlaceSummary {
  return {
    id,
    name: id,
    kind: 'bench',
    invented: false,
    settings: SETTINGS,
    targets: TARGETS,
    now: {
      ...{ placeId: id, newestAt: null, probesTelling: 3, probesAssigned: 3 },
      ...WELL,
      ...change,
      quantities: {
        airTemperatureC: nowValue(22.4, 'within'),
        airVpdKpa: nowValue(0.21, 'within'),
        rootZoneTemperatureC: nowValue(23.8, 'within'),
        ...quantities,
      },
    },
  };
}

export function alarmOf(placeId: string, change: Partial<Alarm> = {}): Alarm {
  return {
    id: `${placeId}-ceiling`,
    placeId,
    placeName: placeId,
    rule: 'air-over-ceiling',
    priority: 'high',
    state: 'unacknowledged',
    raisedAtMs: NOW_MS - 4 * MINUTE_MS,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    suppression: 'none',
    suppressedReason: null,
    shelvedUntilMs: null,
    shelvedReason: null,
    facts: null,
    ...change,
  };
}

const HOURS = { coveredHours: 24, hoursBelow: 5.1, hoursWithin: 18.9, hoursAbove: 0 };
const DEGREES = {
  ...HOURS,
  degreeHoursBelow: 15.5,
  degreeHoursAbove: 0,
  minC: 16.5,
  maxC: 24.1,
  meanC: null,
};
/** A day of air, leaf and root zone, with no light on record. */
export const EXPOSURES: Exposures = {
  placeId: 'a',
  from: '',
  to: '',
  rootZone: DEGREES,
  air: { ...DEGREES, hoursOverCeiling: 0.5, degreeHoursOverCeiling: 1 },
  vpd: { ...HOURS, kpaHoursBelow: 0.17, kpaHoursAbove: 0, minKpa: 0.04, maxKpa: 0.89, meanKpa: 0.15 },
  saturation: { coveredHours: 24, hoursSaturated: 0 },
  light: { coveredHours: 0, days: [] },
  leafVpd: { coveredHours: 24, kpaHours: 0, maxKpa: null, meanKpa: null, assumedOffsetK: 0 },
  daylightVpd: { coveredHours: 10, kpaHours: 0 },
  rootMinusAir: {
    coveredHours: 24,
    hoursAirWarmer: 0,
    degreeHoursAirWarmer: 0,
    minK: null,
    maxK: null,
    meanK: null,
  },
  condensation: { surface: null, coveredHours: 0, hoursBelowDewPoint: 0, minMarginK: null },
  harm: null,
  wetHours: [],
};
