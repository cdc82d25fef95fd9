import { z } from 'zod';
import {
  DEVICE_NAME,
  MAX_FUTURE_MS,
  MAX_PROBE_NAME_CHARS,
} from '../../../../firmware-contracts/v1/limits.ts';
import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import { MS_PER_HOUR, type ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Reading } from '../../../../shared/model/probe.ts';
import { PROBE_QUANTITIES } from '../../../../shared/quantities.ts';
import { decodeDay } from '../../../domain/exposures/settled-day.ts';
import { decodeBlock } from '../../../domain/seal/block.ts';
import { decodeGroup, encodeGroup } from '../../../domain/seal/group.ts';
import { decodeMinutes, holdsMinutes } from '../../../domain/seal/minutes.ts';
import { type BlockSummary, summaryOf } from '../../../domain/seal/summary.ts';
import {
  bytes,
  count,
  flag,
  id,
  line,
  type Row,
  type RowCheck,
  type RowContext,
  timeMs,
  type Verdict,
} from './row-check.ts';

/** Groups hold numbers of probes in 31 bits, and new probes go on from the last. */
const MAX_PROBE_ID = 2 ** 30;
const MAX_CADENCE_MS = 366 * 86_400_000;
const hour = z
  .int()
  .min(0)
  .max(2 ** 31);
const placeId = z.string().regex(DEVICE_NAME);
const finite = z.number();

const probe: RowCheck = {
  columns: {
    id: id.max(MAX_PROBE_ID),
    device: z.string().regex(DEVICE_NAME),
    name: z
      .string()
      .max(MAX_PROBE_NAME_CHARS)
      .regex(/^[A-Za-z0-9][A-Za-z0-9\-:./_]*$/),
    quantity: z.string().max(40).nullable(),
    unit: line(40),
    place_id: placeId.nullable(),
    conflicts: count,
    cadence_ms: z.number().min(0).max(MAX_CADENCE_MS).nullable(),
    from_file: flag,
  },
  mended(row) {
    const known = row['quantity'] === null || Object.hasOwn(PROBE_QUANTITIES, String(row['quantity']));
    if (known) return { row };
    return { row: { ...row, quantity: null }, changed: 'its quantity is not known here: it is unassigned' };
  },
  whole(row, { probes }) {
    probes.set(Number(row['id']), row['quantity'] as string | null);
    return { row };
  },
};

const horizon: RowCheck = {
  columns: { id: z.literal(1), counted_hour: hour, dropped_hour: hour },
  whole(row, context) {
    const [countedHour, droppedHour] = [Number(row['counted_hour']), Number(row['dropped_hour'])];
    // a horizon in time to come would have every reading refused as too old
    if (droppedHour > countedHour || countedHour * MS_PER_HOUR > context.nowMs)
      return { leftOut: 'it lies in the future, or runs backwards' };
    context.horizon = { countedHour, droppedHour };
    return { row };
  },
};

const journal: RowCheck = {
  columns: { id, body: bytes },
  whole(row, context) {
    const readings = decoded(() => decodeGroup(row['body'] as Uint8Array));
    if (readings === null) return { leftOut: 'its checksum or form is not right' };
    const good = readings.filter((reading) => isReading(reading, context));
    if (good.length === readings.length) return { row };
    if (good.length === 0) return { leftOut: UNFIT_READINGS };
    const lost = readings.length - good.length;
    return { row: { ...row, body: encodeGroup(good) }, changed: `${lost} readings left out` };
  },
};

const UNFIT_READINGS = 'readings of an unknown probe, out of range or from the future';

function isReading({ probeId, tMs, value }: Reading, context: RowContext): boolean {
  return fits(probeId, [value], context) && Number.isSafeInteger(tMs) && tMs <= context.nowMs + MAX_FUTURE_MS;
}

/** True for values that a probe, which must be known, can send. */
function fits(probeId: number, values: readonly number[], { probes }: RowContext): boolean {
  const quantity = probes.get(probeId);
  if (quantity === undefined || !values.every(Number.isFinite)) return false;
  if (quantity === null) return true;
  const { low, high } = PROBE_QUANTITIES[quantity as keyof typeof PROBE_QUANTITIES];
  return values.every((value) => value >= low && value <= high);
}

const sealed: RowCheck = {
  columns: {
    probe_id: id.max(MAX_PROBE_ID),
    hour: z.int(),
    count: z.int().min(1).max(MS_PER_HOUR),
    first_ms: timeMs,
    last_ms: timeMs,
    first_value: finite,
    last_value: finite,
    min_value: finite,
    max_value: finite,
    covered_ms: z.number().min(0).max(MS_PER_HOUR),
    area: finite,
    block: bytes,
  },
  whole(row, context) {
    const block = row['block'] as Uint8Array;
    const isMinutes = holdsMinutes(block);
    // an hour of minutes that is not behind the horizon would be opened for late readings
    if (isMinutes && Number(row['hour']) >= (context.horizon?.droppedHour ?? Number.NEGATIVE_INFINITY))
      return { leftOut: 'minutes of an hour whose readings were never dropped' };
    return isMinutes ? minutesVerdict(row, block, context) : blockVerdict(row, block, context);
  },
};

/** Readings say themselves what they come to. */
function blockVerdict(row: Row, block: Uint8Array, context: RowContext): Verdict {
  const record = decoded(() => decodeBlock(block));
  if (record === null) return { leftOut: 'its checksum or form is not right' };
  if (!isOfHour(record, Number(row['hour']))) return { leftOut: 'its readings are of another hour' };
  const summary = summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS });
  const { min, max, lastMs } = summary;
  if (!fits(Number(row['probe_id']), [min, max], context) || lastMs > context.nowMs + MAX_FUTURE_MS)
    return { leftOut: UNFIT_READINGS };
  const columns = summaryColumns(summary);
  if (Object.entries(columns).every(([name, value]) => row[name] === value)) return { row };
  return { row: { ...row, ...columns }, changed: 'its sums were not those of its readings' };
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
  const minutes = decoded(() => decodeMinutes(block));
  if (minutes === null) return { leftOut: 'its checksum or form is not right' };
  const { timesMs, mins, maxs, means } = minutes;
  if (!isOfHour({ timesMs, values: means }, Number(row['hour'])))
    return { leftOut: 'its readings are of another hour' };
  const [low, high] = [Number(row['min_value']), Number(row['max_value'])];
  const within = (value: number) => value >= low && value <= high;
  const area = Math.abs(Number(row['area']));
  const most = Math.max(Math.abs(low), Math.abs(high)) * Number(row['covered_ms']);
  const possible =
    fits(Number(row['probe_id']), [low, high], context) &&
    [row['first_value'], row['last_value'], ...mins, ...maxs].every((value) => within(Number(value))) &&
    [row['first_ms'], row['last_ms']].every((tMs) => hourOf(Number(tMs)) === row['hour']) &&
    area <= most * (1 + 1e-9);
  return possible ? { row } : { leftOut: 'its sums cannot be those of its minutes' };
}

const hourOf = (tMs: number) => Math.floor(tMs / MS_PER_HOUR);

function isOfHour({ timesMs }: ProbeRecord, at: number): boolean {
  return timesMs.every(
    (tMs, i) =>
      Number.isInteger(tMs) && hourOf(tMs) === at && tMs > (timesMs[i - 1] ?? Number.NEGATIVE_INFINITY),
  );
}

/** Settled sums can be made again, but for those behind the horizon. */
const settled: RowCheck = {
  columns: { place_id: placeId, day: z.int(), parts: bytes },
  kind: 'sums',
  whole: (row, context) =>
    sumsVerdict(row, context, () => decodeDay(row['parts'] as Uint8Array, Number(row['day']))),
};

const settledDay: RowCheck = {
  columns: { place_id: placeId, from_ms: timeMs, to_ms: timeMs, sums: bytes },
  kind: 'sums',
  whole: (row, context) => sumsVerdict(row, context, () => decodeDay(row['sums'] as Uint8Array, 0)),
};

type Parts = () => ReturnType<typeof decodeDay>;

function sumsVerdict(row: Row, context: RowContext, read: Parts): Verdict {
  const parts = decoded(read);
  const whole = parts !== null && parts.length > 0 && parts.every(({ sums }) => sums.every(Number.isFinite));
  if (!whole || !context.places.has(String(row['place_id']))) return { leftOut: 'its sums cannot be read' };
  const countedMs = (context.horizon?.countedHour ?? Number.NEGATIVE_INFINITY) * MS_PER_HOUR;
  const lastMs = Number(row['to_ms'] ?? parts.at(-1)?.toMs);
  // sums of readings that did not all come over are made again
  return context.altered && lastMs > countedMs ? { leftOut: 'made again' } : { row };
}

function decoded<T>(read: () => T): T | null {
  try {
    return read();
  } catch {
    return null;
  }
}

export const READING_ROWS = { probe, horizon, journal, sealed, settled, settled_day: settledDay };
