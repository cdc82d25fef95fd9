import { MAX_PAYLOAD_BYTES } from '../../../firmware-contracts/v1/limits.ts';
import { refusedDelivery } from '../../domain/devices/delivery.ts';
import type { Refusal } from '../../domain/ingest/refusal.ts';
import type { RawMessage, Store } from '../../ports.ts';
import type { Touched } from './touched.ts';

type RefusedPack = Refusal & { readonly device: string | null };

/** Keeps a message among the refused, inside the caller's transaction, and counts it with its device. */
export function refuse(
  message: RawMessage,
  refusal: RefusedPack,
  { store, touched }: { readonly store: Pick<Store, 'refusals'>; readonly touched: Touched },
): void {
  touched.refused++;
  const { device } = refusal;
  if (device !== null) touched.deliveries.push(refusedDelivery(device, message.arrivedAtMs));
  store.refusals.keep({
    ...refusal,
    atMs: message.arrivedAtMs,
    topic: message.topic,
    bytes: message.payload.length,
    payload: new TextDecoder().decode(message.payload.subarray(0, MAX_PAYLOAD_BYTES)),
  });
}
