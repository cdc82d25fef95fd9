import { z } from 'zod';
import { DEVICE_NAME, MAX_PAYLOAD_BYTES } from '../../../../firmware-contracts/v1/limits.ts';
import { MS_PER_HOUR } from '../../../../shared/exposure/series.ts';
import {
  MAX_IGNORED_DEVICES,
  MAX_WAITING_DEVICES,
  MAX_WAITING_PACKS,
} from '../../../domain/lifecycle/waiting.ts';
import type { ArchiveBody } from '../../../ports.ts';
import { MAX_HANDSHAKES } from '../tables/handshakes.ts';
import { alarmRecordSchema } from './alarm-schema.ts';
import { bytes, count, flag, id, json, like, line, oneOf, type RowCheck, text, timeMs } from './row-check.ts';
import { decodedHour } from './rows-readings.ts';

const deviceName = like(DEVICE_NAME, 'is no name of a device');
/** Topics and codes are kept as they came; those of other brokers may be this long. */
const topic = text(65_535);

export const refused: RowCheck = {
  key: ['id', 'code'],
  columns: {
    id,
    at_ms: timeMs,
    code: like(/^[a-z0-9-]{1,40}$/, 'is no code'),
    reason: text(4_000),
    pointer: text(2_000).nullable(),
    device: text(200).nullable(),
    topic,
    bytes: count,
    payload: text(MAX_PAYLOAD_BYTES),
    kept_bytes: count,
  },
};

export const refusedCount: RowCheck = {
  key: ['code'],
  columns: { code: like(/^[a-z0-9-]{1,40}$/, 'is no code'), n: count },
};

/** Client ids may be as long as topics. */
export const handshake: RowCheck = {
  key: ['key'],
  columns: { key: text(65_600), content: line(200), at_ms: timeMs },
  most: MAX_HANDSHAKES,
};

export const waitingDevice: RowCheck = {
  key: ['device'],
  most: MAX_WAITING_DEVICES + MAX_IGNORED_DEVICES,
  columns: {
    device: deviceName,
    state: oneOf(['waiting', 'ignored']),
    first_ms: timeMs,
    last_ms: timeMs,
    received: count,
    packs: count,
    bytes: count,
    dropped: count,
    decided_ms: timeMs.nullable(),
    decided_by: line(80).nullable(),
  },
};

export const waitingPack: RowCheck = {
  key: ['device', 'id'],
  most: MAX_WAITING_DEVICES * MAX_WAITING_PACKS,
  columns: {
    id,
    device: deviceName,
    topic,
    payload: bytes.refine(
      (payload) => payload.length <= MAX_PAYLOAD_BYTES,
      `is longer than ${MAX_PAYLOAD_BYTES} bytes`,
    ),
    arrived_ms: timeMs,
    retained: flag,
  },
};

export const waitingTotal: RowCheck = {
  key: ['id'],
  columns: { id: z.literal(1), dropped: count, turned_away: count },
};

const instant = z.iso.datetime({ offset: true }).nullable();
const archiveBodySchema = z.looseObject({
  contents: z.looseObject({
    places: z.array(z.looseObject({ id: z.string().max(64), name: z.string().max(200) })),
    devices: z.array(z.string().max(64)),
    probes: z.int().min(0),
    readingsFrom: instant,
    readingsTo: instant,
    activeAlarms: z.int().min(0),
    alarms: z.int().min(0),
    entries: z.int().min(0),
  }),
  alarms: z.array(z.looseObject({ before: alarmRecordSchema, after: alarmRecordSchema })),
  login: z.enum(['enabled', 'disabled']).nullable(),
}) satisfies z.ZodType<Omit<ArchiveBody, 'alarms'>>;

export const archiveItem: RowCheck = {
  key: ['id', 'name'],
  columns: {
    id,
    kind: oneOf(['place', 'probe', 'device']),
    name: line(200),
    state: oneOf(['archived', 'deleted', 'removing']),
    since_ms: timeMs,
    by_name: line(80).nullable(),
    counted_days: count,
    counted_ms: timeMs,
    body: json(archiveBodySchema),
  },
  copied: (row, { archiveItems }) => void archiveItems.add(Number(row['id'])),
};

export const clockJump: RowCheck = {
  key: ['id'],
  columns: {
    id,
    from_ms: timeMs,
    to_ms: timeMs,
    by_ms: z.int('is no whole number'),
    exact: flag,
  },
};

export const setAside: RowCheck = {
  key: ['jump_id', 'id'],
  columns: {
    id,
    jump_id: id,
    probe_id: id,
    first_ms: timeMs,
    last_ms: timeMs,
    count: z.int('is no whole number').min(1, 'is 0').max(MS_PER_HOUR, 'is too large'),
    on_return: flag,
    block: bytes,
  },
  whole(row, { probes }) {
    if (!probes.has(Number(row['probe_id']))) return { leftOut: 'its probe is not there' };
    const record = decodedHour(row['block'] as Uint8Array);
    const said = [row['count'], row['first_ms'], row['last_ms']];
    const held = record && [record.timesMs.length, record.timesMs[0], record.timesMs.at(-1)];
    const same = held?.every((value, i) => value === said[i]) && record?.values.every(Number.isFinite);
    return same ? { row } : { leftOut: 'its readings cannot be read, or are not those it names' };
  },
};
