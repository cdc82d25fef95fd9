export type { AlarmEventsAnswer, AlarmsAnswer, ProbesAnswer } from './alarms.ts';
export type {
  ExplainedInput,
  Explanation,
  FilmEstimate,
  MistAnswer,
  ThermalTime,
  VentsAnswer,
  VentView,
} from './details.ts';
export type {
  BandSpan,
  Condensation,
  Exposures,
  RootMinusAir,
  TemperatureExposure,
  WetHours,
} from './exposures.ts';
export type { BackupsAnswer, FloodFacts, HouseFacts, PageState, RefusedPack, Room } from './house.ts';
export type { BandState, NowValue, PlaceNow, PlaceSummary, SeriesName } from './place.ts';
export type { Series, SeriesPoint } from './series.ts';
