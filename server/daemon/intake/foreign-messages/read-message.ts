import { parseDeviceTopic } from '../../../../firmware-contracts/v1/topics.ts';
import type { NewMapping } from '../../../../shared/model/probes/mapping.ts';
import { isContractTopic } from '../../../../shared/topic-filter.ts';
import { horizonMs } from '../../../domain/disk-space/horizon.ts';
import { clockBehind } from '../../../domain/ingest/clock-behind.ts';
import { type Decoded, decodePack } from '../../../domain/ingest/decode.ts';
import { decodeMapped } from '../../../domain/mappings/decode-mapped.ts';
import type { RawMessage, Store } from '../../../ports.ts';
import { admissionNow, archivedItemOf, quotaFor } from '../../admission/admitting.ts';
import type { World } from '../../world/world.ts';

type ReadContext = {
  readonly world: World;
  readonly store: Store;
  /** how the topic is read when it is none of the contract's */
  readonly mapping: NewMapping | null;
  /** at what time a reading is judged, where clocks were set; its own unless given */
  readonly judgedMs?: (tMs: number, arrivedAtMs: number) => number;
};

/** Where a mapping wants new probes to go, or null. */
export function wishedBy(mapping: NewMapping | null): string | null {
  return mapping === null ? null : mapping.placeId;
}

/** A message as readings or as a refusal; readings may have to be judged alone, and why. */
export type ReadResult =
  | Extract<Decoded, { ok: false }>
  | (Extract<Decoded, { ok: true }> & { readonly unkept: RefusedPack | null });

type RefusedPack = Extract<Decoded, { ok: false }>['refusal'];

/** Why nothing of a message is stored, or null. */
export function refusalOf(read: ReadResult): RefusedPack | null {
  return read.ok ? read.unkept : read.refusal;
}

/** A message as readings or as a refusal, by what is known now; null for a status, and for what nobody reads. */
export function readMessage(message: RawMessage, context: ReadContext): ReadResult | null {
  const { store, mapping, judgedMs } = context;
  const { topic, arrivedAtMs } = message;
  if (parseDeviceTopic(topic)?.kind === 'status') return null;
  const { takenFromMs } = horizonMs(store.horizon.get());
  const given = {
    ...message,
    // a clock that is behind all that is kept must not blind anybody
    takenFromMs: arrivedAtMs < takenFromMs ? undefined : takenFromMs,
    isExplained: (tMs: number) => judgedMs !== undefined && judgedMs(tMs, arrivedAtMs) !== tMs,
  };
  if (mapping === null && !isContractTopic(topic)) return null;
  const decoded = admitted(mapping === null ? decodePack(given) : decodeMapped(given, mapping), context);
  return decoded.ok ? { ...decoded, unkept: clockBehind({ ...decoded, arrivedAtMs, takenFromMs }) } : decoded;
}

/** Refuses what is of something that was archived, and what would bring more probes than are kept. */
function admitted(decoded: Decoded, context: ReadContext): Decoded {
  if (!decoded.ok) return decoded;
  const { device } = decoded;
  const wishedPlaceId = wishedBy(context.mapping);
  if (admissionNow({ device, wishedPlaceId }, context) === 'archived')
    return refused(device, 'archived', `"${device}", or its place, was archived or deleted`);
  return withRoom(decoded, wishedPlaceId, context);
}

function withRoom(
  decoded: Extract<Decoded, { ok: true }>,
  wishedPlaceId: string | null,
  context: ReadContext,
): Decoded {
  const { world } = context;
  const { device, readings } = decoded;
  const fresh = readings.filter(
    (reading) =>
      !world.probeNamed({ device, name: reading.probe }) &&
      archivedItemOf(reading, wishedPlaceId, context) === null,
  );
  const names = new Set(fresh.map(({ probe }) => probe));
  if (names.size === 0) return decoded;
  const { room, limit } = quotaFor(device, context);
  if (names.size <= room) return decoded;
  const reason = `${names.size} new probes, and only ${room} more are kept: ${limit}`;
  return refused(device, 'too-many-probes', reason);
}

function refused(device: string, code: 'archived' | 'too-many-probes', reason: string): Decoded {
  return { ok: false, refusal: { code, reason, pointer: null, device } };
}
