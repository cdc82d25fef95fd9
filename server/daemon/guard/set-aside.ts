import { MAX_PAYLOAD_BYTES } from '../../../firmware-contracts/v1/limits.ts';
import { parseDeviceTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { NewRefusal, RawMessage, Store } from '../../ports.ts';
import { isOfRecord } from './inbox.ts';
import { causeText, type Troubles } from './troubles.ts';

/** Most characters kept of the topic of a message that was set aside. */
const MAX_TOPIC_CHARS = 500;

/**
 * Keeps a message that could not be stored by itself among the refused, so that it can be acknowledged and comes no more.
 * @returns what was kept of it
 * @throws Fault `store-failed` when the record as a whole refuses; whatever the database says when it refuses all of it
 */
export function setAside(
  message: RawMessage,
  cause: unknown,
  { store, troubles }: { readonly store: Store; readonly troubles: Pick<Troubles, 'note'> },
): NewRefusal {
  const refusal = refusalOf(message, cause);
  const kept = keep(refusal, store);
  troubles.note({ rule: 'message-set-aside', what: `message on ${kept.topic}`, cause });
  return kept;
}

function keep(refusal: NewRefusal, store: Store): NewRefusal {
  try {
    store.transaction(() => store.refusals.keep(refusal));
    return refusal;
  } catch (worse) {
    if (isOfRecord(worse)) throw worse;
    // what cannot be kept whole is at least counted and shown
    const rest = { ...refusal, reason: `${refusal.reason}; its payload could not be kept`, payload: '' };
    store.transaction(() => store.refusals.keep(rest));
    return rest;
  }
}

function refusalOf({ topic, payload, arrivedAtMs }: RawMessage, cause: unknown): NewRefusal {
  return {
    code: 'not-storable',
    reason: `it could not be stored: ${causeText(cause)}`,
    pointer: null,
    device: parseDeviceTopic(topic)?.device ?? null,
    atMs: arrivedAtMs,
    topic: topic.slice(0, MAX_TOPIC_CHARS),
    bytes: payload.length,
    payload: new TextDecoder().decode(payload.subarray(0, MAX_PAYLOAD_BYTES)),
  };
}
