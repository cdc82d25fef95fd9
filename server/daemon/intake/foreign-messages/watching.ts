import { MAX_PAYLOAD_BYTES } from '../../../../firmware-contracts/v1/limits.ts';
import { parseDeviceTopic } from '../../../../firmware-contracts/v1/topics.ts';
import { REFUSAL_FAULTS } from '../../../../shared/faults.ts';
import type { NewMapping } from '../../../../shared/model/probes/mapping.ts';
import {
  type MessageVerdict,
  type ReceivedMessage,
  WATCH_LASTS_MS,
  type WatchAnswer,
} from '../../../../shared/wire/probes/foreign-messages.ts';
import { payloadStart } from '../../../domain/ingest/payload-start.ts';
import { type PlaceOf, verdictOn } from '../../../domain/ingest/verdict.ts';
import { verdictLines } from '../../../domain/ingest/verdict-words.ts';
import type { Clock, RawMessage, Store } from '../../../ports.ts';
import { admissionNow } from '../../admission/admitting.ts';
import { causeText } from '../../guard/troubles.ts';
import type { World } from '../../world/world.ts';
import { readMessage, refusalOf, wishedBy } from './read-message.ts';
import { createRing } from './ring.ts';

/** Most messages that are held for who watches, and most bytes of their payloads. */
export const MOST_WATCHED = { count: 200, bytes: 1024 * 1024 };
/** Lines of a verdict that are shown. */
const MAX_LINES = 30;
const NOT_KEPT =
  '  The record cannot be written now: the message is not acknowledged, and has to come again.';
const NOT_STORABLE = 'not-storable';

export type ForeignMessagesContext = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Clock;
  /** whether the record accepts what comes */
  readonly writable: () => boolean;
  readonly mappingOf: (topic: string) => (NewMapping & { readonly placeId: string | null }) | null;
};

type Watched = {
  message: RawMessage | null;
  readonly bytes: number;
  shown: Omit<ReceivedMessage, 'id'> | null;
};

/** What came last in at the broker, while somebody watches: a copy is all that taking messages pays for it. */
export function createWatching(context: ForeignMessagesContext) {
  const { clock } = context;
  const ring = createRing<Watched>(MOST_WATCHED);
  let untilMs: number | null = null;
  /** After the message was accepted: then what is said is what was done. */
  const settle = (watched: Watched): Omit<ReceivedMessage, 'id'> => {
    if (watched.shown === null && watched.message !== null) {
      const { message, bytes } = watched;
      watched.shown = { ...shownOf(message, bytes), verdict: verdictOf(message, context) };
      watched.message = null;
    }
    if (watched.shown === null) throw new Error('a message that was received is gone');
    return watched.shown;
  };
  const answer = (afterId: number): WatchAnswer => ({
    until: untilMs === null ? null : new Date(untilMs).toISOString(),
    last: ring.last(),
    gap: afterId > 0 && afterId + 1 < ring.first(),
    messages: ring.after(afterId).map(({ id, value }) => ({ id, ...settle(value) })),
  });
  return {
    receive(message: RawMessage) {
      if (untilMs === null) return;
      const bytes = message.payload.byteLength;
      const watched: Watched = { message, bytes, shown: null };
      // one that is too large is refused at a glance, and need not be held
      if (bytes > MAX_PAYLOAD_BYTES) settle(watched);
      else watched.message = { ...message, payload: message.payload.slice() };
      ring.push(watched, Math.min(bytes, MAX_PAYLOAD_BYTES));
    },
    watch() {
      untilMs = clock.nowMs() + WATCH_LASTS_MS;
      return answer(ring.last());
    },
    answer,
    last: ring.last,
    /** Lets time pass: what came is judged, and nothing is held once nobody watches. */
    turn() {
      if (untilMs === null) return;
      for (const { value } of ring.after(0)) settle(value);
      if (clock.nowMs() < untilMs) return;
      untilMs = null;
      ring.clear();
    },
  };
}

/** A message without its verdict. */
export function shownOf(
  message: RawMessage,
  bytes = message.payload.byteLength,
): Omit<ReceivedMessage, 'id' | 'verdict'> {
  const { topic, arrivedAtMs, retainedCopy, payload } = message;
  const at = new Date(arrivedAtMs).toISOString();
  return { topic, at, bytes, retained: retainedCopy, ...payloadStart(payload) };
}

function verdictOf(message: RawMessage, context: ForeignMessagesContext): MessageVerdict {
  const done = context.writable();
  const verdict = verdictOrFault(message, { ...context, mapping: context.mappingOf(message.topic), done });
  if (done || verdict.outcome === 'status') return verdict;
  return { ...verdict, outcome: 'unkept', lines: [...verdict.lines, NOT_KEPT] };
}

/** One message that cannot be judged must not keep those behind it from being shown. */
function verdictOrFault(...asked: Parameters<typeof verdictBy>): MessageVerdict {
  try {
    return verdictBy(...asked);
  } catch (cause) {
    const [{ topic }] = asked;
    const lines = [`${topic}: ${REFUSAL_FAULTS[NOT_STORABLE].meaning} (${causeText(cause)})`];
    return { outcome: 'refused', device: null, code: NOT_STORABLE, pointer: null, lines };
  }
}

/** What a message comes to when it is read so, in the words of `strikewell check`. */
export function verdictBy(
  message: RawMessage,
  by: Pick<ForeignMessagesContext, 'world' | 'store'> & {
    readonly mapping: NewMapping | null;
    readonly done: boolean;
  },
): MessageVerdict {
  const { topic } = message;
  const { world, mapping, done } = by;
  const decoded = readMessage(message, by);
  if (decoded === null) {
    const status = parseDeviceTopic(topic);
    const outcome = status === null ? 'other' : 'status';
    const words = status === null ? 'nobody reads this topic' : 'a status, which holds no readings';
    return {
      outcome,
      device: status?.device ?? null,
      code: null,
      pointer: null,
      lines: [`${topic}: ${words}`],
    };
  }
  if (decoded.ok && admissionNow({ device: decoded.device, wishedPlaceId: wishedBy(mapping) }, by) === 'wait')
    return waitingVerdict(topic, decoded.device);
  const placeOf: PlaceOf = (probe) => {
    const known = world.probeNamed(probe);
    return known === null ? undefined : known.placeId;
  };
  const wished = mapping?.placeId ?? null;
  const refusal = refusalOf(decoded);
  const shown = refusal === null ? decoded : { ok: false as const, refusal };
  const verdict = verdictOn(shown, placeOf, wished !== null && world.places.has(wished) ? wished : null);
  const lines = verdictLines(verdict, { topic, done });
  const more = lines.length - MAX_LINES;
  return {
    outcome: verdict.ok ? 'stored' : 'refused',
    device: verdict.device,
    code: verdict.ok ? null : verdict.code,
    pointer: verdict.ok ? null : verdict.pointer,
    lines: more > 0 ? [...lines.slice(0, MAX_LINES), `  and ${more} more`] : lines,
  };
}

function waitingVerdict(topic: string, device: string): MessageVerdict {
  const lines = [
    `${topic}: "${device}" is new and not accepted yet`,
    '  → accept or ignore it on the page Devices; what it sends until then is kept within limits',
  ];
  return { outcome: 'waiting', device, code: null, pointer: null, lines };
}
