import { z } from 'zod';

const rowSchema = z.strictObject({
  id: z.string(),
  quantity: z.string(),
  inputs: z.record(z.string(), z.union([z.number(), z.string(), z.array(z.number())])),
  expected: z.number(),
  unit: z.string(),
  tolerance: z.number().positive(),
  practical_tolerance: z.number().positive().optional(),
  tolerance_reason: z.string(),
  applies_to: z.enum([
    'any',
    'hyland-wexler',
    'ice',
    'iapws95',
    'tetens-fao56',
    'magnus-wmo8',
    'buck1981',
    'bolton1980',
    'if97',
  ]),
  seen_class: z.enum(['seen', 'memory', 'computed', 'derived']),
  source: z.string(),
  note: z.string().optional(),
});

export const rowsSchema = z.array(rowSchema);
export type PublishedRow = z.infer<typeof rowSchema>;
export type Read = (name: string) => number;
export type Recompute = (read: Read, row: PublishedRow) => number;

/** Reads one number a row gives as input. */
export function readerOf(row: PublishedRow): Read {
  return (name) => z.number(`${row.id} has no input ${name}`).parse(row.inputs[name]);
}
