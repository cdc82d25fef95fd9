import { parseDeviceTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { NewMapping } from '../../../shared/model/mapping.ts';
import { isContractTopic } from '../../../shared/topic-filter.ts';
import { type Decoded, decodePack } from '../../domain/ingest/decode.ts';
import { decodeMapped } from '../../domain/mappings/decode-mapped.ts';
import { MAX_PROBES, MAX_PROBES_PER_DEVICE } from '../../domain/places/first-contact.ts';
import { horizonMs } from '../../domain/room/horizon.ts';
import type { RawMessage, Store } from '../../ports.ts';
import { roomForProbes } from '../first-contact.ts';
import type { World } from '../world.ts';

export type ReadContext = {
  readonly world: World;
  readonly store: Store;
  /** how the topic is read when it is none of the contract's */
  readonly mapping: NewMapping | null;
  /** at what time a reading is judged, where clocks were set; its own unless given */
  readonly judgedMs?: (tMs: number, arrivedAtMs: number) => number;
};

/** A message as readings or as a refusal, by what is known now; null for a status, and for what nobody reads. */
export function readMessage(
  message: RawMessage,
  { world, store, mapping, judgedMs }: ReadContext,
): Decoded | null {
  const { topic } = message;
  if (parseDeviceTopic(topic)?.kind === 'status') return null;
  const { arrivedAtMs } = message;
  const kept = horizonMs(store.horizon.get());
  const given = {
    ...message,
    // a clock that is behind all that is kept must not blind anybody
    takenFromMs: arrivedAtMs < kept.takenFromMs ? undefined : kept.takenFromMs,
    isExplained: (tMs: number) => judgedMs !== undefined && judgedMs(tMs, arrivedAtMs) !== tMs,
  };
  if (mapping !== null) return withRoom(decodeMapped(given, mapping), world);
  return isContractTopic(topic) ? withRoom(decodePack(given), world) : null;
}

/** Refuses what would bring more probes than are kept. */
function withRoom(decoded: Decoded, world: World): Decoded {
  if (!decoded.ok) return decoded;
  const { device, readings } = decoded;
  const fresh = readings.filter(({ probe }) => !world.probeNamed({ device, name: probe }));
  const names = new Set(fresh.map(({ probe }) => probe));
  if (names.size === 0 || names.size <= roomForProbes(device, world)) return decoded;
  const reason = `${names.size} new probes; ${MAX_PROBES_PER_DEVICE} a device and ${MAX_PROBES} in all are kept`;
  return { ok: false, refusal: { code: 'too-many-probes', reason, pointer: null, device } };
}
