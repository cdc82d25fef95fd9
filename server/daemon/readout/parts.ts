import type { Parts } from '../../ports.ts';

/** An answer that is made in parts, made in one go. */
export function wholeOf<T>(parts: Parts<T>): T {
  for (;;) {
    const { done, value } = parts.next();
    if (done) return value;
  }
}
