import type { SeriesQuantityName } from '../quantities.ts';
import type { LeftOutReading } from './finding.ts';

export type SeriesPoint = {
  readonly t: string;
  readonly value: number | null;
  readonly min: number | null;
  readonly max: number | null;
  /** there where a finding about a probe covers the point */
  readonly suspect?: true;
};

export type Series = {
  readonly quantity: SeriesQuantityName;
  readonly unit: string;
  readonly points: readonly SeriesPoint[];
  /** before this, RFC 3339, points rest on one mean a minute; given where the span begins before it */
  readonly minutesBefore?: string;
  /** readings that are no measurement, kept but not drawn; left out where there are none; the newest 200 */
  readonly leftOut?: readonly LeftOutReading[];
};
