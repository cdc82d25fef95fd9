import { MAX_PAYLOAD_BYTES } from '../../../firmware-contracts/v1/limits.ts';
import type { Refusal } from './refusal.ts';

const utf8 = new TextDecoder('utf-8', { fatal: true });

/**
 * The text of a payload, whatever form it has.
 * @param payload bytes as they arrived
 * @returns the text, or why the payload is refused: longer than 64 KiB, or not UTF-8
 */
export function textOf(payload: Uint8Array): { readonly text: string } | Refusal {
  if (payload.byteLength > MAX_PAYLOAD_BYTES) {
    const reason = `the payload has ${payload.byteLength} bytes; ${MAX_PAYLOAD_BYTES} are allowed`;
    return { code: 'payload-too-large', reason, pointer: null };
  }
  try {
    return { text: utf8.decode(payload) };
  } catch {
    return { code: 'not-utf8', reason: 'the payload is not UTF-8', pointer: null };
  }
}
