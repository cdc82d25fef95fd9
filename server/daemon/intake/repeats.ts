import type { RawMessage, Store } from '../../ports.ts';

/** Whether a message of QoS 2 was stored before; its handshake is noted otherwise. By arrival as its time it would be stored twice. */
export function isRepeat(
  { handshake, arrivedAtMs: atMs }: RawMessage,
  { handshakes }: Pick<Store, 'handshakes'>,
): boolean {
  if (handshake === undefined) return false;
  const { key, content, mayRepeat } = handshake;
  if (mayRepeat && handshakes.contentOf(key) === content) return true;
  handshakes.open(key, { content, atMs });
  return false;
}
