import type { Window } from '../../../shared/exposure/series.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import type { RecordsByQuantity } from './curves.ts';

/** What exposures are asked of: a place's records over a window (ms since epoch), and what they are judged by. */
export type ExposureQuestion = Window & {
  readonly placeId: string;
  readonly records: RecordsByQuantity;
  readonly settings: PlaceSettings;
  /** targets resolved to instants over the whole window */
  readonly spans: readonly TargetSpan[];
  readonly timeZone: string;
};
