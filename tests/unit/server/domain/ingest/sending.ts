import { decodePack } from '../../../../../server/domain/ingest/decode.ts';

/** 2026-03-04 08:10 UTC. Any instant would do. */
export const AT = Date.UTC(2026, 2, 4, 8, 10);
const TOPIC = 'strikewell/1/bench-1/readings';

type Sent = { readonly topic?: string; readonly retainedCopy?: boolean };

export const decodeText = (
  text: string | Uint8Array<ArrayBuffer>,
  { topic = TOPIC, retainedCopy = false }: Sent = {},
) =>
  decodePack({
    topic,
    payload: typeof text === 'string' ? new TextEncoder().encode(text) : text,
    arrivedAtMs: AT,
    retainedCopy,
  });

export const decode = (records: unknown, sent: Sent = {}) => decodeText(JSON.stringify(records), sent);

export const refusalOf = (decoded: ReturnType<typeof decode>) => (decoded.ok ? null : decoded.refusal);
export const readingsOf = (decoded: ReturnType<typeof decode>) => (decoded.ok ? decoded.readings : []);
export const one = (record: object, sent: Sent = {}) => readingsOf(decode([record], sent))[0];

export const root = { n: 'root/temperature', u: 'Cel', v: 23.4 };
