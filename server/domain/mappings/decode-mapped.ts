import { DEVICE_NAME, SENML_VERSION } from '../../../firmware-contracts/v1/limits.ts';
import type { PackFaultCode } from '../../../shared/faults.ts';
import type { NewMapping } from '../../../shared/model/probes/mapping.ts';
import type { Decoded } from '../ingest/decode.ts';
import { textOf } from '../ingest/payload.ts';
import { type DecodedReading, readReading } from '../ingest/reading.ts';
import { quoted, type Refusal } from '../ingest/refusal.ts';
import { numberIn, readMappedTime, readMappedValue } from './read-value.ts';

/** A message on a topic that is none of the contract's. */
type ForeignMessage = {
  readonly topic: string;
  readonly payload: Uint8Array;
  /** ms since epoch */
  readonly arrivedAtMs: number;
  readonly retainedCopy: boolean;
  /** ms since epoch, before which readings are not kept any more; left out: any are accepted */
  readonly takenFromMs?: number | undefined;
};

const TIME_FAULTS: ReadonlySet<string> = new Set<PackFaultCode>([
  'bad-time',
  'beyond-retention',
  'time-in-future',
  'retained-without-time',
]);

/**
 * Reads a foreign message by a mapping: JSON, or a bare number. What holds for a record of a pack holds for each
 * reading: units, ranges, times. One that does not fit refuses the message.
 * @returns one or more readings in the order of the mapping, or the refusal with a pointer into the message
 */
export function decodeMapped(message: ForeignMessage, mapping: NewMapping): Decoded {
  const device = deviceOf(message.topic, mapping);
  if (typeof device !== 'string') return { ok: false, refusal: { ...device, device: null } };
  const refused = ({ code, reason, pointer }: Refusal): Decoded => ({
    ok: false,
    refusal: { code, reason, pointer: pointer || null, device },
  });
  const body = bodyOf(message.payload);
  if ('code' in body) return refused(body);
  const time = timeOf(body.json, message, mapping);
  if ('code' in time) return refused(time);
  const readings: DecodedReading[] = [];
  for (const mapped of mapping.values) {
    const value = readMappedValue(body.json, mapped);
    if (value === null) continue;
    if (typeof value !== 'number') return refused(value);
    const { probe, unit, pointer } = mapped;
    const record = { n: probe, v: value, ...(unit === null ? {} : { u: unit }) };
    const base = { index: 0, name: probe, sum: null, version: SENML_VERSION };
    const reading = readReading({ ...base, ...time, record, unit, value }, { device, ...message });
    if ('code' in reading) return refused({ ...reading, pointer: faultyPart(reading, mapping) ?? pointer });
    readings.push(reading);
  }
  if (readings.length > 0) return { ok: true, device, readings };
  return refused({ code: 'no-value', reason: 'the message has none of the mapped values', pointer: null });
}

/** The pointer to the time, where the time is at fault. */
function faultyPart({ code }: Refusal, { time }: NewMapping): string | null {
  if (!TIME_FAULTS.has(code)) return null;
  return time.kind === 'pointer' ? time.pointer : '';
}

/** The device whose readings a message on the topic would be, or null when the topic names none. */
export function mappedDevice(topic: string, mapping: NewMapping): string | null {
  const device = deviceOf(topic, mapping);
  return typeof device === 'string' ? device : null;
}

function deviceOf(topic: string, { device }: NewMapping): string | Refusal {
  if (device.kind === 'named') return device.name;
  const level = topic.split('/')[device.level - 1];
  if (level !== undefined && DEVICE_NAME.test(level)) return level;
  const reason =
    level === undefined
      ? `the topic ${quoted(topic)} has no level ${device.level}`
      : `level ${device.level} of the topic is ${quoted(level)}, not 1 to 64 of A-Z a-z 0-9 - _ .`;
  return { code: 'mapped-device', reason, pointer: null };
}

function bodyOf(payload: Uint8Array): { readonly json: unknown } | Refusal {
  const read = textOf(payload);
  if ('code' in read) return read;
  const { text } = read;
  try {
    return { json: JSON.parse(text) };
  } catch {
    const bare = numberIn(text);
    if (bare !== null) return { json: bare };
    const reason = `the payload is neither JSON nor a number: ${quoted(text)}`;
    return { code: 'not-json', reason, pointer: null };
  }
}

type Timed = { readonly tMs: number; readonly relative: boolean };

function timeOf(json: unknown, { arrivedAtMs }: ForeignMessage, { time }: NewMapping): Timed | Refusal {
  if (time.kind === 'arrival') return { tMs: arrivedAtMs, relative: true };
  const tMs = readMappedTime(json, time);
  return typeof tMs === 'number' ? { tMs, relative: false } : tMs;
}
