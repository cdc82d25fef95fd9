import type { z } from 'zod';

/** What a schema describes, read-only throughout. */
export type Output<S extends z.ZodType> = ReadonlyDeep<z.output<S>>;

type ReadonlyDeep<T> = T extends object ? { readonly [K in keyof T]: ReadonlyDeep<T[K]> } : T;
