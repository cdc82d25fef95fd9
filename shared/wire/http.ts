import type { Alarm, AlarmEvent } from '../model/alarm.ts';
import type { Probe } from '../model/probe.ts';
import type { AlarmPriority, AlarmRule } from '../rules/rules.ts';
import type { LifecycleFacts } from './lifecycle.ts';

export type { BandState, NowValue, PlaceNow, PlaceSummary, SeriesName } from './place.ts';

export type TemperatureExposure = {
  readonly coveredHours: number;
  readonly hoursBelow: number;
  readonly hoursWithin: number;
  readonly hoursAbove: number;
  readonly degreeHoursBelow: number;
  readonly degreeHoursAbove: number;
  readonly minC: number | null;
  readonly maxC: number | null;
  readonly meanC: number | null;
};

/** How far the root zone is warmer than the air, K; "air warmer" counts the time it is the other way round. */
export type RootMinusAir = {
  readonly coveredHours: number;
  readonly hoursAirWarmer: number;
  readonly degreeHoursAirWarmer: number;
  readonly minK: number | null;
  readonly maxK: number | null;
  readonly meanK: number | null;
};

/** Margin of the coldest watched surface over the dew point, K; the outside stands in where no wall is watched. */
export type Condensation = {
  readonly surface: 'wall' | 'outside' | null;
  readonly coveredHours: number;
  readonly hoursBelowDewPoint: number;
  readonly minMarginK: number | null;
};

/** Hours in published conditions of a disease: a counter, never a diagnosis. */
export type WetHours = {
  readonly condition: string;
  readonly name: string;
  readonly coveredHours: number;
  readonly hours: number;
  readonly longestHours: number;
  readonly source: string;
};

export type Exposures = {
  readonly placeId: string;
  readonly from: string;
  readonly to: string;
  readonly rootZone: TemperatureExposure;
  readonly air: TemperatureExposure & {
    readonly hoursOverCeiling: number;
    readonly degreeHoursOverCeiling: number;
  };
  readonly vpd: {
    readonly coveredHours: number;
    readonly hoursBelow: number;
    readonly hoursWithin: number;
    readonly hoursAbove: number;
    readonly kpaHoursBelow: number;
    readonly kpaHoursAbove: number;
    readonly minKpa: number | null;
    readonly maxKpa: number | null;
    readonly meanKpa: number | null;
  };
  readonly saturation: { readonly coveredHours: number; readonly hoursSaturated: number };
  readonly light: {
    readonly coveredHours: number;
    readonly days: readonly {
      readonly date: string;
      readonly dliMolM2: number;
      readonly coveredHours: number;
      /** time at or above the photoperiodic threshold */
      readonly photoperiodHours: number;
    }[];
  };
  /** deficit at the leaf; `assumedOffsetK` is null where a leaf probe tells */
  readonly leafVpd: {
    readonly coveredHours: number;
    readonly kpaHours: number;
    readonly maxKpa: number | null;
    readonly meanKpa: number | null;
    readonly assumedOffsetK: number | null;
  };
  /** deficit of the air summed over the day halves of the span */
  readonly daylightVpd: { readonly coveredHours: number; readonly kpaHours: number };
  readonly rootMinusAir: RootMinusAir;
  readonly condensation: Condensation;
  readonly wetHours: readonly WetHours[];
};

export type { Series, SeriesPoint } from './series.ts';

/** The bands of a span resolved to instants: what a chart shades. Limits in the quantity's own unit. */
export type BandSpan = {
  readonly from: string;
  readonly to: string;
  readonly night: boolean;
  readonly rootZone: { readonly lowC: number; readonly highC: number };
  readonly air: { readonly lowC: number; readonly highC: number };
  readonly ceilingC: number;
  readonly vpd: { readonly lowKpa: number; readonly highKpa: number };
};

export type RefusedPack = {
  readonly id: number;
  readonly code: string;
  readonly reason: string;
  readonly pointer: string | null;
  readonly device: string | null;
  readonly topic: string;
  /** RFC 3339 */
  readonly time: string;
  readonly bytes: number;
  /** the payload as text, cut to 64 KiB */
  readonly payload: string;
};

/** The built page: as its sources are, older than a source, or not there. */
export type PageState = 'current' | 'older' | 'missing';

export type HouseFacts = LifecycleFacts & {
  readonly version: string;
  readonly timeZone: string;
  readonly broker: { readonly embedded: boolean; readonly address: string; readonly connected: boolean };
  readonly readings: { readonly received: number; readonly refused: number; readonly conflicts: number };
  readonly demo: { readonly running: boolean; readonly progressPct: number | null };
  readonly webhook: { readonly set: boolean; readonly waiting: number; readonly lastError: string | null };
  /** not writable: what arrives is judged in memory and not acknowledged; `since` in RFC 3339 */
  readonly store: {
    readonly writable: boolean;
    readonly since: string | null;
    /** disk space held back for alarms on a full disk; 0 where it was given up, or there never was space for it */
    readonly reserveBytes?: number;
  };
  readonly backup: {
    /** when the newest good one was begun, RFC 3339 */
    readonly lastAt: string | null;
    readonly running: boolean;
    readonly progressPct: number | null;
    readonly lastError: string | null;
  };
  readonly room: Room;
  /** how the page stood when the daemon started; absent from versions before */
  readonly page?: PageState;
  /** alarms come faster than one person can answer them; absent or null while they do not */
  readonly flood?: FloodFacts | null;
};

/** A flood of alarms: what was told in the last ten minutes. */
export type FloodFacts = {
  /** RFC 3339 */
  readonly since: string;
  readonly told: number;
  readonly first: { readonly alarmId: string; readonly placeName: string; readonly rule: AlarmRule };
  readonly byPriority: Readonly<Record<AlarmPriority, number>>;
  /** most alarms first */
  readonly byPlace: readonly { readonly placeName: string; readonly told: number }[];
};

/** Room on the disk of the record; a forecast is null while there is too little to go by. */
export type Room = {
  /** the record with its write-ahead log */
  readonly databaseBytes: number;
  readonly freeBytes: number;
  readonly bytesPerDay: number | null;
  /** whole days until record and backups fill the disk; 730 stands for two years or more */
  readonly daysLeft: number | null;
  /** whole days for which readings are kept, null for ever; `from`: before it, RFC 3339, there are minutes instead */
  readonly readings?: { readonly keepDays: number | null; readonly from: string | null };
};

export type BackupsAnswer = {
  readonly backups: readonly {
    readonly name: string;
    /** when it was begun, RFC 3339 */
    readonly at: string;
    readonly bytes: number;
    readonly verified: boolean;
  }[];
  readonly running: { readonly name: string; readonly progressPct: number } | null;
  readonly lastError: string | null;
  /** time of day at which one is made, or null when none is by itself */
  readonly dailyAt: string | null;
};

export type AlarmsAnswer = { readonly alarms: readonly Alarm[] };
export type AlarmEventsAnswer = { readonly events: readonly AlarmEvent[] };
export type ProbesAnswer = { readonly probes: readonly Probe[] };

/** One thing a number was made from. */
export type ExplainedInput = {
  readonly name: string;
  readonly value: number | string;
  readonly unit: string;
  /** RFC 3339, when it was read; null for a setting */
  readonly at: string | null;
  /** device and probe; null for a setting or a limit */
  readonly probe: string | null;
};

/** Where a number shown or sent comes from. */
export type Explanation = {
  readonly of: string;
  readonly name: string;
  readonly value: number | null;
  readonly unit: string;
  readonly formula: string;
  readonly source: { readonly key: string; readonly text: string };
  readonly inputs: readonly ExplainedInput[];
  readonly coverage: { readonly coveredHours: number; readonly ofHours: number } | null;
  /** what the errors of the sensors leave open, in the unit of the value */
  readonly errorRange: { readonly low: number; readonly high: number; readonly because: string } | null;
  readonly assumptions: readonly string[];
};

/** A stretch in which the cover was open, recognised from the air or logged by hand (`id` set). */
export type VentView = {
  readonly id: number | null;
  readonly from: string;
  readonly to: string | null;
  readonly how: 'recognised' | 'logged';
  readonly note: string | null;
  readonly lowestPct: number | null;
  readonly humidityBack: boolean | null;
};

export type VentsAnswer = {
  readonly placeId: string;
  readonly from: string;
  readonly to: string;
  readonly vents: readonly VentView[];
  /** false with a reason where recognised vents are not to be counted on */
  readonly reliable: boolean;
  readonly reason: string | null;
  readonly hoursSinceVent: number | null;
  readonly hoursSaturatedSinceVent: number;
};

/** Time for a film to dry off a leaf at the present air: an estimated upper bound for the mist interval. */
export type FilmEstimate = {
  /** minutes with the leaf held at air temperature, and with the leaf cooled by evaporation; null: it never dries */
  readonly atAirTemperatureMin: number | null;
  readonly cooledMin: number | null;
  /** the same with the light measured now warming the leaf, and the heat taken up from it; null in the dark or without light */
  readonly inLight: { readonly dryingMin: number | null; readonly netRadiationWM2: number } | null;
  readonly assumptions: readonly string[];
};

export type MistAnswer = {
  readonly placeId: string;
  readonly from: string;
  readonly to: string;
  readonly how: 'valve' | 'humidity' | 'wetness' | null;
  readonly pulses: number;
  readonly pulsesPerHourInLight: number | null;
  readonly pulsesPerHourInDark: number | null;
  readonly missed: number | null;
  readonly patternMin: number | null;
  readonly patternFrom: 'stated' | 'from the record' | null;
  readonly longestDryGap: { readonly from: string; readonly to: string } | null;
  readonly coveredHours: number;
  readonly reliable: boolean;
  readonly reason: string | null;
  readonly film: FilmEstimate | null;
};

/** Thermal time of the root zone, K·h: capped at `upperC`, or falling from `optimumC` to nothing at `stopC`. */
export type ThermalTime = {
  readonly placeId: string;
  readonly from: string;
  readonly to: string;
  readonly baseC: number;
  readonly upperC?: number;
  readonly optimumC?: number;
  readonly stopC?: number;
  readonly coveredHours: number;
  readonly degreeHours: number;
};
