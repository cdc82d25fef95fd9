import type { Parts } from '../../../../server/ports.ts';

/** An answer that is made in parts, made at once, and in how many. */
export function wholeOf<T>(parts: Parts<T>): { readonly answer: T; readonly parts: number } {
  let count = 1;
  for (let part = parts.next(); ; part = parts.next(), count++)
    if (part.done) return { answer: part.value, parts: count };
}
