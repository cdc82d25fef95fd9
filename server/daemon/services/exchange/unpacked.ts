import { Fault } from '../../../../shared/faults.ts';

const GZIP = [0x1f, 0x8b] as const;

/**
 * The bytes of a file, unpacked where it begins as gzip does (RFC 1952).
 * @throws Fault `bad-request` where what is packed is damaged or cut off
 */
export async function* unpacked(file: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const pieces = file[Symbol.asyncIterator]();
  const { first, isOver } = await beginningOf(pieces);
  const whole = continued(first, isOver ? null : pieces);
  if (GZIP.some((byte, at) => first[at] !== byte)) return yield* whole;
  const packed = new ReadableStream<Uint8Array<ArrayBuffer>>({
    async pull(controller) {
      const next = await whole.next();
      if (next.done) controller.close();
      else controller.enqueue(new Uint8Array(next.value));
    },
  });
  const reader = packed.pipeThrough(new DecompressionStream('gzip')).getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read().catch(notUnpacked);
      if (done) return;
      yield value;
    }
  } finally {
    await reader.cancel().catch(() => undefined);
  }
}

type Pieces = AsyncIterator<Uint8Array>;

/** The first piece, long enough to tell what the file is. */
async function beginningOf(pieces: Pieces): Promise<{ first: Uint8Array; isOver: boolean }> {
  let first = new Uint8Array();
  while (first.length < GZIP.length) {
    const next = await pieces.next();
    if (next.done) return { first, isOver: true };
    first = joined(first, next.value);
  }
  return { first, isOver: false };
}

async function* continued(first: Uint8Array, pieces: Pieces | null): AsyncGenerator<Uint8Array> {
  try {
    yield first;
    for (;;) {
      const next = await pieces?.next();
      if (next === undefined || next.done) return;
      yield next.value;
    }
  } finally {
    await pieces?.return?.();
  }
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array<ArrayBuffer> {
  const both = new Uint8Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}

function notUnpacked(cause: unknown): never {
  if (cause instanceof Fault) throw cause;
  const message = 'The file begins as gzip does and cannot be unpacked: it is damaged or cut off.';
  throw new Fault({ code: 'bad-request', message, cause });
}
