/** Something kept, and about how many bytes it takes. */
type Kept<T> = { readonly id: number; readonly bytes: number; readonly value: T };

/** The newest so many things up to so many bytes, numbered from 1 on; the oldest goes first. */
type Ring<T> = {
  push(value: T, bytes: number): number;
  after(id: number): readonly Kept<T>[];
  get(id: number): T | null;
  /** number of the newest ever; 0 before the first */
  last(): number;
  /** number of the oldest that is kept */
  first(): number;
  clear(): void;
};

/** @param most at most so many, and so many bytes; one alone may be larger */
export function createRing<T>(most: { readonly count: number; readonly bytes: number }): Ring<T> {
  let kept: Kept<T>[] = [];
  let [last, held] = [0, 0];
  return {
    push(value, bytes) {
      last += 1;
      held += bytes;
      kept.push({ id: last, bytes, value });
      while (kept.length > most.count || (held > most.bytes && kept.length > 1)) {
        held -= kept.shift()?.bytes ?? 0;
      }
      return last;
    },
    after: (id) => kept.filter((one) => one.id > id),
    get: (id) => kept.find((one) => one.id === id)?.value ?? null,
    last: () => last,
    first: () => kept[0]?.id ?? last + 1,
    clear() {
      kept = [];
      held = 0;
    },
  };
}
