export type { BackupsAnswer, FloodFacts, HouseFacts, PageState, RefusedPack, Room } from './house.ts';
export type {
  ExplainedInput,
  Explanation,
  FilmEstimate,
  MistAnswer,
  ThermalTime,
  VentsAnswer,
  VentView,
} from './places/details.ts';
export type {
  BandSpan,
  Condensation,
  Exposures,
  RootMinusAir,
  TemperatureExposure,
  WetHours,
} from './places/exposures.ts';
export type { ExcursionAnswer, Night, NightRow } from './places/night.ts';
export type {
  BandState,
  NowValue,
  PlaceCondition,
  PlaceNow,
  PlaceSummary,
  SeriesName,
} from './places/place.ts';
export type { Series, SeriesPoint } from './places/series.ts';
export type { Trace, TracesAnswer } from './places/traces.ts';
