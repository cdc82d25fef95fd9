import { z } from 'zod';
import { DEVICE_NAME, MAX_PROBE_NAME_CHARS } from '../../../../firmware-contracts/v1/limits.ts';
import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import { MS_PER_HOUR, type ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Reading } from '../../../../shared/model/probes/probe.ts';
import { PROBE_QUANTITIES } from '../../../../shared/quantities.ts';
import { LEAST_RAW_DAYS, REACH_HOURS } from '../../../domain/disk-space/horizon.ts';
import { blockHeader, decodeBlock } from '../../../domain/seal/block.ts';
import { decodeGroup, encodeGroup } from '../../../domain/seal/group.ts';
import { decodeMinutes, holdsMinutes } from '../../../domain/seal/minutes.ts';
import { type BlockSummary, summaryOf } from '../../../domain/seal/summary.ts';
import {
  bytes,
  count,
  decoded,
  finite,
  flag,
  id,
  like,
  line,
  type Row,
  type RowCheck,
  type RowContext,
  timeMs,
  type Verdict,
} from './row-check.ts';
import { placeId } from './rows-places.ts';

/** Groups of readings hold the numbers of probes in 31 bits, and new probes go on from the last. */
const MAX_PROBE_ID = 2 ** 30;
const MAX_CADENCE_MS = 366 * 86_400_000;
/** How far ahead of this computer's clock a reading may be dated: a clock in another time zone is off by less. */
const MAX_AHEAD_MS = 86_400_000;
/** Sixty minutes take a quarter of it: no bytes can make us ask for much room. */
const MOST_MINUTES_BYTES = 16_384;
const DAMAGED = 'its checksum or form is wrong';
const OTHER_HOUR = 'its readings are of another hour';
const UNKNOWN_PROBE = 'its probe is not there';
const UNFIT = 'readings out of range, or later than the clock of this computer';

const probeId = id.max(MAX_PROBE_ID, 'is too large');
const hour = z
  .int('is no whole number')
  .min(-(2 ** 20), 'is no hour')
  .max(2 ** 21, 'is no hour');

export const probe: RowCheck = {
  key: ['device', 'name'],
  columns: {
    id: probeId,
    device: like(DEVICE_NAME, 'is no name of a device'),
    name: like(
      new RegExp(`^[A-Za-z0-9][A-Za-z0-9\\-:./_]{0,${MAX_PROBE_NAME_CHARS - 1}}$`),
      'is no name of a probe',
    ),
    quantity: z.string().max(40).nullable(),
    unit: line(40),
    place_id: placeId.nullable(),
    conflicts: count,
    cadence_ms: z.number('is no number').min(0, 'is negative').max(MAX_CADENCE_MS, 'is too long').nullable(),
    from_file: flag,
    archive_id: id.nullable(),
  },
  fixed(row, { places, archiveItems }) {
    const known = row['quantity'] === null || Object.hasOwn(PROBE_QUANTITIES, String(row['quantity']));
    const placed = row['place_id'] === null || places.has(String(row['place_id']));
    const archived = row['archive_id'] === null || archiveItems.has(Number(row['archive_id']));
    if (known && placed && archived) return { row };
    const changed = [
      ...(known ? [] : ['its quantity is not known, so it is unassigned']),
      ...(placed ? [] : ['its place is not there, so it is in none']),
      ...(archived ? [] : ['what archived it is not there, so it is no longer archived']),
    ];
    const mended = {
      ...row,
      quantity: known ? row['quantity'] : null,
      place_id: placed ? row['place_id'] : null,
      archive_id: archived ? row['archive_id'] : null,
    };
    return { row: mended, changed: changed.join('; ') };
  },
  copied: (row, { probes }) => void probes.set(Number(row['id']), row['quantity'] as string | null),
};

export const horizon: RowCheck = {
  key: ['id'],
  columns: { id: z.literal(1), counted_hour: hour, dropped_hour: hour },
  whole(row, context) {
    const latest = Math.floor(context.nowMs / MS_PER_HOUR) - LEAST_RAW_DAYS * 24 - REACH_HOURS;
    const countedHour = Math.min(Number(row['counted_hour']), latest);
    const droppedHour = Math.min(Number(row['dropped_hour']), countedHour);
    context.horizon = { countedHour, droppedHour };
    if (countedHour === row['counted_hour'] && droppedHour === row['dropped_hour']) return { row };
    return {
      row: { ...row, counted_hour: countedHour, dropped_hour: droppedHour },
      // left as it was, every new reading would be rejected as too old
      changed: `readings are kept for ${LEAST_RAW_DAYS} days at least, so it was moved back`,
    };
  },
};

export const journal: RowCheck = {
  key: ['id'],
  columns: { id, body: bytes },
  whole(row, context) {
    const readings = decoded(() => decodeGroup(row['body'] as Uint8Array));
    if (readings === null) return { leftOut: DAMAGED };
    const good = readings.filter((reading) => isReading(reading, context));
    if (good.length === readings.length) return { row };
    if (good.length === 0) return { leftOut: UNFIT };
    const changed = `${readings.length - good.length} of ${readings.length} left out: ${UNFIT}`;
    return { row: { ...row, body: encodeGroup(good) }, changed };
  },
};

function isReading({ probeId: of, tMs, value }: Reading, context: RowContext): boolean {
  return fits(of, [value], context) && timeMs.safeParse(tMs).success && tMs <= context.nowMs + MAX_AHEAD_MS;
}

/** True for values that a probe, which must be known, can send. */
function fits(of: number, values: readonly number[], { probes }: RowContext): boolean {
  const quantity = probes.get(of);
  if (quantity === undefined || !values.every(Number.isFinite)) return false;
  if (quantity === null) return true;
  const { low, high } = PROBE_QUANTITIES[quantity as keyof typeof PROBE_QUANTITIES];
  return values.every((value) => value >= low && value <= high);
}

export const sealed: RowCheck = {
  key: ['probe_id', 'hour'],
  columns: {
    probe_id: probeId,
    hour,
    count: z.int('is no whole number').min(1, 'is 0').max(MS_PER_HOUR, 'is too large'),
    first_ms: timeMs,
    last_ms: timeMs,
    first_value: finite,
    last_value: finite,
    min_value: finite,
    max_value: finite,
    covered_ms: z.number('is no number').min(0, 'is negative').max(MS_PER_HOUR, 'is more than an hour'),
    area: finite,
    block: bytes,
  },
  whole(row, context) {
    if (!context.probes.has(Number(row['probe_id']))) return { leftOut: UNKNOWN_PROBE };
    const block = row['block'] as Uint8Array;
    if (!holdsMinutes(block)) return blockVerdict(row, block, context);
    // they would be opened for late readings, which ends the program
    if (Number(row['hour']) >= (context.horizon?.droppedHour ?? Number.NEGATIVE_INFINITY))
      return { leftOut: 'minutes of an hour whose readings cannot have been dropped' };
    return minutesVerdict(row, block, context);
  },
};

/** Readings say themselves what they come to. */
function blockVerdict(row: Row, block: Uint8Array, context: RowContext): Verdict {
  const record = decodedHour(block);
  if (record === null) return { leftOut: DAMAGED };
  if (!isOfHour(record, Number(row['hour']))) return { leftOut: OTHER_HOUR };
  const summary = summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS });
  const { min, max, lastMs } = summary;
  if (!fits(Number(row['probe_id']), [min, max], context) || lastMs > context.nowMs + MAX_AHEAD_MS)
    return { leftOut: UNFIT };
  const columns = summaryColumns(summary);
  if (Object.entries(columns).every(([name, value]) => row[name] === value)) return { row };
  return { row: { ...row, ...columns }, changed: 'its sums were not those of its readings' };
}

/** The readings of an hour; null for bytes that hold none, or more than an hour has milliseconds. */
export function decodedHour(block: Uint8Array): ProbeRecord | null {
  return decoded(() => (blockHeader(block).count > MS_PER_HOUR ? null : decodeBlock(block)));
}

function summaryColumns(summary: BlockSummary): Readonly<Record<string, number>> {
  const { count: n, firstMs, lastMs, firstValue, lastValue, min, max, coveredMs, area } = summary;
  return {
    count: n,
    first_ms: firstMs,
    last_ms: lastMs,
    first_value: firstValue,
    last_value: lastValue,
    min_value: min,
    max_value: max,
    covered_ms: coveredMs,
    area,
  };
}

/** What stands beside minutes was made of readings that are gone: it must be possible. */
function minutesVerdict(row: Row, block: Uint8Array, context: RowContext): Verdict {
  const minutes = decoded(() => (block.length > MOST_MINUTES_BYTES ? null : decodeMinutes(block)));
  if (minutes === null) return { leftOut: DAMAGED };
  const { timesMs, mins, maxs, means } = minutes;
  if (timesMs.length > Number(row['count']) || !isOfHour({ timesMs, values: means }, Number(row['hour'])))
    return { leftOut: OTHER_HOUR };
  const [low, high] = [Number(row['min_value']), Number(row['max_value'])];
  const within = (value: number) => value >= low && value <= high;
  const most = Math.max(Math.abs(low), Math.abs(high)) * Number(row['covered_ms']);
  const ends = [row['first_value'], row['last_value']].map(Number);
  const possible =
    fits(Number(row['probe_id']), [low, high, ...ends, ...means], context) &&
    [row['first_ms'], row['last_ms']].every((tMs) => hourOf(Number(tMs)) === row['hour']) &&
    // values that are no measurement were left out of the minutes, and may lie beyond them
    [...mins, ...maxs].every(within) &&
    Math.abs(Number(row['area'])) <= most * (1 + 1e-9);
  return possible ? { row } : { leftOut: 'its sums cannot be those of its minutes' };
}

const hourOf = (tMs: number) => Math.floor(tMs / MS_PER_HOUR);

function isOfHour({ timesMs }: ProbeRecord, at: number): boolean {
  let before = Number.NEGATIVE_INFINITY;
  return timesMs.every((tMs) => {
    const follows = Number.isInteger(tMs) && hourOf(tMs) === at && tMs > before;
    before = tMs;
    return follows;
  });
}
