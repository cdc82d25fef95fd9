import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import { instantOfWall, wallTime } from '../../common/time.ts';

/** What the form of cut and box holds; times are those of the wall clock, empty where they are not known. */
export type HeldValues = {
  readonly cutAt: string;
  readonly cutHour: string;
  readonly boxOpenedAt: string;
  readonly boxPlaceId: string;
};

type HeldBody = {
  readonly cutAt: string | null;
  readonly cutHour: number | null;
  readonly boxOpenedAt: string | null;
  readonly boxPlaceId: string | null;
};
type Read =
  | { readonly body: HeldBody; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Record<string, string>> };

type Noted = Pick<Batch, 'cutAt' | 'cutHour' | 'boxOpenedAt' | 'boxPlaceId'>;

/** What is noted of a batch, as the form shows it. */
export function heldValues(batch: Noted, timeZone: string): HeldValues {
  const wall = (time: string | null) => (time === null ? '' : wallTime({ atMs: Date.parse(time), timeZone }));
  return {
    cutAt: wall(batch.cutAt),
    cutHour: batch.cutHour === null ? '' : String(batch.cutHour),
    boxOpenedAt: wall(batch.boxOpenedAt),
    boxPlaceId: batch.boxPlaceId ?? '',
  };
}

/**
 * The inputs as what is to be noted, or what is wrong with them.
 * @param at.stuckMs when the batch was stuck, ms since epoch: it was cut before
 */
export function heldOf(values: HeldValues, at: { stuckMs: number; timeZone: string }): Read {
  const timeOf = (wall: string) =>
    wall.trim() === '' ? null : (instantOfWall({ wall, timeZone: at.timeZone }) ?? Number.NaN);
  const [cutMs, openedMs] = [timeOf(values.cutAt), timeOf(values.boxOpenedAt)];
  const errors = {
    ...faultOf('cutAt', cutMs, at.stuckMs),
    ...faultOf('boxOpenedAt', openedMs, at.stuckMs),
  };
  if (Object.keys(errors).length === 0 && cutMs !== null && openedMs !== null && openedMs < cutMs)
    return { body: null, errors: { boxOpenedAt: 'that is before the cut' } };
  if (Object.keys(errors).length > 0) return { body: null, errors };
  const iso = (atMs: number | null) => (atMs === null ? null : new Date(atMs).toISOString());
  return {
    body: {
      cutAt: iso(cutMs),
      // the time says it better
      cutHour: cutMs === null && values.cutHour !== '' ? Number(values.cutHour) : null,
      boxOpenedAt: iso(openedMs),
      boxPlaceId: values.boxPlaceId || null,
    },
    errors: null,
  };
}

function faultOf(name: string, atMs: number | null, stuckMs: number): Readonly<Record<string, string>> {
  if (atMs === null) return {};
  if (Number.isNaN(atMs)) return { [name]: 'a date and a time' };
  return atMs > stuckMs ? { [name]: 'that is after the batch was stuck' } : {};
}
