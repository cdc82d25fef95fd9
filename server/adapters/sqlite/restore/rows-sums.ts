import { z } from 'zod';
import { MS_PER_HOUR } from '../../../../shared/exposure/series.ts';
import { decodeDay, encodeDay } from '../../../domain/exposures/settled-day.ts';
import { bytes, decoded, type RowCheck, type RowContext, timeMs } from './row-check.ts';
import { placeId } from './rows-places.ts';

/** Days since 1970, UTC. */
const day = z
  .int('is no whole number')
  .min(-(2 ** 16), 'is no day')
  .max(2 ** 17, 'is no day');

/**
 * Sums of exposures. Those of hours whose readings were dropped cannot be counted again, and are copied; the others are
 * made again from the readings, so that no file can say what they are.
 */
export const settled: RowCheck = {
  key: ['place_id', 'day'],
  columns: { place_id: placeId, day, parts: bytes },
  whole(row, context) {
    const parts = decodedSums(row['parts'], Number(row['day']));
    const kept = parts?.filter(({ toMs }) => toMs <= countedMs(context)) ?? [];
    if (parts !== null && kept.length === 0) return { madeAgain: true };
    if (parts === null || !context.places.has(String(row['place_id']))) return { leftOut: UNREADABLE };
    return kept.length === parts.length ? { row } : { row: { ...row, parts: encodeDay(kept) } };
  },
};

export const settledDay: RowCheck = {
  key: ['place_id', 'from_ms'],
  columns: { place_id: placeId, from_ms: timeMs, to_ms: timeMs, sums: bytes },
  whole(row, context) {
    if (Number(row['to_ms']) > countedMs(context)) return { madeAgain: true };
    const isThere = context.places.has(String(row['place_id']));
    return isThere && decodedSums(row['sums'], 0) !== null ? { row } : { leftOut: UNREADABLE };
  },
};

const UNREADABLE = 'its sums cannot be read';
/** A day of minutes has no more parts, nor a part more sums, by far: no bytes can make us ask for much room. */
const MOST_BYTES = 65_536;

function decodedSums(value: unknown, at: number) {
  const block = value as Uint8Array;
  const parts = decoded(() => (block.length > MOST_BYTES ? null : decodeDay(block, at)));
  const whole = parts?.length && parts.every(({ sums }) => !sums.some(Number.isNaN));
  return whole ? parts : null;
}

function countedMs({ horizon }: RowContext): number {
  return (horizon?.countedHour ?? Number.NEGATIVE_INFINITY) * MS_PER_HOUR;
}
