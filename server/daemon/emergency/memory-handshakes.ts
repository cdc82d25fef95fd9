import type { Handshakes } from '../../ports.ts';

/** Stands in memory for a handshake of the record that is over: no digest is empty. */
const OVER = '';

/** Handshakes of QoS 2 while the record cannot be written: what memory knows, and beside it what is on disk. */
export function memoryHandshakes(record: Handshakes, memory: Handshakes): Handshakes {
  return {
    ...memory,
    contentOf: (key) => memory.contentOf(key) ?? orNull(() => record.contentOf(key)),
    over: (key) => memory.open(key, { content: OVER, atMs: 0 }),
  };
}

/** Writes what memory knows into the record, inside the transaction that writes the readings it holds. */
export function settleHandshakes(memory: Handshakes, record: Handshakes): void {
  for (const { key, content, atMs } of memory.all()) {
    if (content === OVER) record.over(key);
    else record.open(key, { content, atMs });
  }
}

function orNull<T>(read: () => T): T | null {
  try {
    return read();
  } catch {
    return null;
  }
}
