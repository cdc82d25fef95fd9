import type { ExcursionAnswer, NightRow } from '../../../../shared/wire/http.ts';

/** A night of ten hours, 21:00 to 07:00 UTC. */
export const FROM_MS = Date.UTC(2026, 2, 4, 21);
export const TO_MS = Date.UTC(2026, 2, 5, 7);
export const VIEW = { fromMs: FROM_MS, toMs: TO_MS };
const HOUR_MS = 3_600_000;

/** So many hours after the night began, RFC 3339. */
export const hourOf = (hours: number): string => new Date(FROM_MS + hours * HOUR_MS).toISOString();

type Change = Partial<ExcursionAnswer>;

/** Root zone 19 °C under 21 for two hours from 02:00 on, unless changed. */
export function excursion(change: Change = {}): ExcursionAnswer {
  return {
    kind: 'root-zone-below-band',
    from: hourOf(5),
    to: hourOf(7),
    peak: 19,
    limit: 21,
    unit: '°C',
    overLimitHours: 2,
    dose: 3,
    doseUnit: 'K·h',
    harm: 0.1,
    cause: null,
    alarmId: null,
    acknowledgedBy: null,
    ...change,
  };
}

/** Nothing read from so many hours on, up to others, or still. */
export function gap(from: number, to: number | null): ExcursionAnswer {
  const none = { peak: null, limit: null, unit: null, dose: null, doseUnit: null, harm: null } as const;
  return excursion({
    kind: 'no-data',
    from: hourOf(from),
    to: to === null ? null : hourOf(to),
    overLimitHours: (to ?? 10) - from,
    ...none,
  });
}

export type Row = Omit<NightRow, 'exposures' | 'facts'>;

/** A place that did well, unless changed. */
export function rowOf(name: string, change: Partial<NightRow> = {}): NightRow {
  const row: Row = {
    placeId: name,
    name,
    zone: null,
    state: 'ok',
    harm: 0,
    minutesLeft: null,
    answered: 'no-alarm',
    sentence: '',
    excursions: [],
    bands: [],
    coverage: 1,
    maxGapMs: 900_000,
    ...change,
  };
  // what the page draws of it needs neither exposures nor facts
  return row as NightRow;
}
