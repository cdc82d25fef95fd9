import { MAX_PAYLOAD_BYTES } from '../../../../firmware-contracts/v1/limits.ts';
import { Fault } from '../../../../shared/faults.ts';
import type { NewMapping } from '../../../../shared/model/probes/mapping.ts';
import { topicFits } from '../../../../shared/topic-filter.ts';
import {
  type CapturedMessage,
  LISTEN_LASTS_MS,
  type ListenAnswer,
  type TryAnswer,
} from '../../../../shared/wire/probes/foreign-messages.ts';
import { numberIn } from '../../../domain/mappings/read-value.ts';
import type { ListenAt, RawMessage } from '../../../ports.ts';
import { createRing } from './ring.ts';
import { type ForeignMessagesContext, shownOf, verdictBy } from './watching.ts';

/** Most foreign messages that are held, and most bytes of their payloads: then the listening ends, so that none is lost. */
const MOST_CAPTURED = { count: 50, bytes: 512 * 1024 };
/** What nests deeper is shown as text alone: a message of nothing but brackets could be written by no answer. */
const MOST_NESTED = 100;
/** What was received is held so long after the listening began, ms. */
const HELD_MS = 30 * 60_000;

type Session = { readonly filter: string; readonly untilMs: number; readonly end: () => Promise<void> };

/** Receives messages of foreign topics for a limited time, one filter at a time, so that one can be chosen to be mapped. */
export function createListening(context: ForeignMessagesContext, listenAt: ListenAt | null) {
  const { clock } = context;
  const ring = createRing<RawMessage>(MOST_CAPTURED);
  let session: Session | null = null;
  let [begunMs, count, bytes] = [0, 0, 0];
  const receive = (message: RawMessage) => {
    const { payload } = message;
    if (payload.byteLength > MAX_PAYLOAD_BYTES) return;
    if (count === MOST_CAPTURED.count || bytes + payload.byteLength > MOST_CAPTURED.bytes) {
      end();
      return;
    }
    ring.push({ ...message, payload: payload.slice() }, payload.byteLength);
    count += 1;
    bytes += payload.byteLength;
  };
  const end = () => {
    // the broker may be gone by then, which ends it as well
    session?.end().catch(() => undefined);
    session = null;
  };
  const answer = (): ListenAnswer => ({
    filter: session?.filter ?? null,
    until: session === null ? null : new Date(session.untilMs).toISOString(),
    last: ring.last(),
    messages: ring.after(0).map(({ id, value }) => capturedOf(id, value, context)),
  });
  return {
    /** Called with foreign messages at the embedded broker. */
    observe(message: RawMessage) {
      if (session !== null && listenAt === null && topicFits(session.filter, message.topic)) receive(message);
    },
    isListeningTo: (topic: string) => session !== null && topicFits(session.filter, topic),
    async listen(filter: string): Promise<ListenAnswer> {
      end();
      ring.clear();
      [count, bytes] = [0, 0];
      const stop =
        listenAt === null ? () => Promise.resolve() : await listenAt(filter, receive).catch(cannot);
      end();
      begunMs = clock.nowMs();
      session = { filter, untilMs: begunMs + LISTEN_LASTS_MS, end: stop };
      return answer();
    },
    stop() {
      end();
      return answer();
    },
    answer,
    last: ring.last,
    tryOut({ mapping, heard: received }: { mapping: NewMapping; heard: number }): TryAnswer {
      const message = ring.get(received);
      if (message !== null) return { verdict: verdictBy(message, { ...context, mapping, done: false }) };
      throw new Fault({
        code: 'not-found',
        message: `The message ${received} is no longer kept; listen again.`,
      });
    },
    turn() {
      const nowMs = clock.nowMs();
      if (session !== null && nowMs >= session.untilMs) end();
      if (nowMs >= begunMs + HELD_MS) ring.clear();
    },
    close: end,
  };
}

function capturedOf(id: number, message: RawMessage, context: ForeignMessagesContext): CapturedMessage {
  const mapping = context.mappingOf(message.topic);
  const verdict = verdictBy(message, { ...context, mapping, done: false });
  return { id, ...shownOf(message), verdict, json: jsonOf(message.payload) };
}

function jsonOf(payload: Uint8Array): unknown {
  const text = new TextDecoder().decode(payload);
  try {
    const json: unknown = JSON.parse(text);
    return nestsWithin(json, MOST_NESTED) ? json : null;
  } catch {
    return numberIn(text);
  }
}

function nestsWithin(json: unknown, levels: number): boolean {
  if (typeof json !== 'object' || json === null) return true;
  return levels > 0 && Object.values(json).every((part) => nestsWithin(part, levels - 1));
}

function cannot(cause: unknown): never {
  const why = cause instanceof Error && cause.message !== '' ? cause.message : String(cause);
  throw new Fault({ code: 'bad-request', message: `The broker cannot be listened to: ${why}.`, cause });
}
