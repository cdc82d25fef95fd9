import { z } from 'zod';

/** Which half of an hour that came twice at a clock change is meant: one of them throughout, or by the order of the rows. */
export const REPEATED_HOURS = ['first', 'second', 'split-by-order'] as const;

/** How the times of a file are written: with an offset, by a zone's wall clock, or counted since 1970. */
const timeFormatSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('rfc3339') }),
  z.strictObject({
    kind: z.literal('local'),
    /** IANA time zone */
    zone: z.string().min(1),
    /** order of year, month and day */
    order: z.enum(['ymd', 'dmy', 'mdy']),
  }),
  z.strictObject({ kind: z.literal('epoch'), unit: z.enum(['s', 'ms']) }),
]);

/** Most columns of one file that are readings. */
const MAX_MAPPED_COLUMNS = 200;

const column = z.string().min(1).max(300);

/** What the columns of a file of readings are. A column goes by its header, or by `#3` for the third. */
export const importMappingSchema = z.strictObject({
  time: z.strictObject({ columns: z.array(column).min(1).max(2), format: timeFormatSchema }),
  columns: z
    .array(z.strictObject({ column, probe: z.string().min(1).max(96), unit: z.string().max(40) }))
    .min(1)
    .max(MAX_MAPPED_COLUMNS),
  /** what stands before the decimals */
  decimal: z.enum(['.', ',']),
});

export type RepeatedHour = (typeof REPEATED_HOURS)[number];
export type TimeFormat = z.infer<typeof timeFormatSchema>;
export type ImportMapping = z.infer<typeof importMappingSchema>;
