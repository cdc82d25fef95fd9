import { parseDeviceTopic } from '../../../firmware-contracts/v1/topics.ts';
import { type DecodedReading, readReading } from './reading.ts';
import { readRecords } from './records.ts';
import { quoted, type Refusal } from './refusal.ts';
import { resolveInOrder } from './resolve.ts';

export type { DecodedReading } from './reading.ts';

export type Decoded =
  | { readonly ok: true; readonly device: string; readonly readings: readonly DecodedReading[] }
  | { readonly ok: false; readonly refusal: Refusal & { readonly device: string | null } };

/**
 * Reads a message on a readings topic as readings in canonical units at absolute times,
 * or says why it may not be stored. One bad record refuses the pack. Two different values
 * of one probe at one time are both returned: the store keeps the first and counts a conflict.
 * @param arrivedAtMs ms since epoch, what relative times count from
 * @param retainedCopy true when the broker had kept the message: then its arrival is not its time
 * @param takenFromMs ms since epoch, before which readings are not kept any more; left out: any are accepted
 * @param isExplained whether a time in the future is one by a clock that was not set when this one was
 * @returns one or more readings in the order of the pack, or the refusal; never throws
 * @source [RFC8428]
 */
export function decodePack({
  topic,
  payload,
  arrivedAtMs,
  retainedCopy,
  takenFromMs,
  isExplained,
}: {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly arrivedAtMs: number;
  readonly retainedCopy: boolean;
  readonly takenFromMs?: number | undefined;
  readonly isExplained?: ((tMs: number) => boolean) | undefined;
}): Decoded {
  const address = parseDeviceTopic(topic);
  if (address?.kind !== 'readings') {
    const reason = `the topic ${quoted(topic)} is not strikewell/1/<device>/readings with a device of 1 to 64 of A-Z a-z 0-9 - _ .`;
    return { ok: false, refusal: { code: 'bad-topic', reason, pointer: null, device: null } };
  }
  const { device } = address;
  const refused = (refusal: Refusal): Decoded => ({ ok: false, refusal: { ...refusal, device } });
  const records = readRecords(payload);
  if ('code' in records) return refused(records);
  const readings: DecodedReading[] = [];
  for (const resolved of resolveInOrder({ records, arrivedAtMs })) {
    const reading = readReading(resolved, {
      device,
      arrivedAtMs,
      retainedCopy,
      takenFromMs,
      isExplained,
    });
    if ('code' in reading) return refused(reading);
    readings.push(reading);
  }
  if (readings.length > 0) return { ok: true, device, readings };
  return refused({ code: 'no-value', reason: 'the pack sets base fields only', pointer: null });
}
