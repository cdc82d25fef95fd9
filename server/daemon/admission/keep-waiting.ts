import { MAX_WAITING_DEVICES, type WaitingEvent, waitingStep } from '../../domain/lifecycle/waiting.ts';
import type { RawMessage, Store } from '../../ports.ts';

type WaitingStore = Pick<Store, 'waiting'>;

/**
 * Keeps a pack of a device that waits to be accepted, inside the caller's transaction.
 * @returns why it is refused, or null when it was kept or counted
 */
export function keepWaiting(message: RawMessage, device: string, store: WaitingStore) {
  const { arrivedAtMs: atMs, payload } = message;
  const pack = { kind: 'pack', device, bytes: payload.byteLength, atMs } as const;
  if (moveWaiting(pack, store, message)) return null;
  store.waiting.count({ dropped: 0, turnedAway: 1 });
  const reason = `"${device}" is new, and ${MAX_WAITING_DEVICES} devices wait to be accepted already`;
  return { code: 'waiting-list-full', reason, pointer: null, device } as const;
}

/**
 * Moves the list by one event, inside the caller's transaction.
 * @param message the pack that came, for the event of one
 * @returns false when the list is full
 */
export function moveWaiting(
  event: WaitingEvent,
  { waiting }: WaitingStore,
  message: RawMessage | null = null,
): boolean {
  let fits = true;
  for (const effect of waitingStep(waiting.devices(), event)) {
    if (effect.kind === 'save') waiting.save(effect.device);
    else if (effect.kind === 'trim') waiting.trim(effect.device, effect);
    else if (effect.kind === 'forget') {
      waiting.forget(effect.device);
      if (effect.dropped > 0) waiting.count({ dropped: effect.dropped, turnedAway: 0 });
    } else if (effect.kind === 'turn-away') fits = false;
    else if (message !== null) waiting.keepPack(effect.device, message);
  }
  return fits;
}
