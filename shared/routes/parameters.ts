import { z } from 'zod';

const datetime = z.iso.datetime({ offset: true });

/** An RFC 3339 time with an offset, read as ms since epoch. */
export const instantSchema = z
  .string({ error: ({ input }) => instantFault(input) })
  .meta({ format: 'date-time' })
  .transform((text, context) => {
    const read = datetime.safeParse(text.replace(/t/i, 'T').replace(/z$/i, 'Z'));
    if (read.success) return Date.parse(read.data);
    context.issues.push({ code: 'custom', input: text, message: instantFault(text) });
    return z.NEVER;
  });

function instantFault(given: unknown): string {
  return `must be an RFC 3339 time with an offset, such as 2026-03-01T06:00:00Z; it is ${shown(given)}`;
}

function shown(given: unknown): string {
  return given === undefined ? 'missing' : (JSON.stringify(given)?.slice(0, 80) ?? 'missing');
}

/** A number is sent as text; a caller may give the number itself. */
type NumberText = z.ZodType<string, string | number>;

/** A number of a query. @param allowed its bounds, both allowed; `words` end "must be …" */
export function numberSchema(allowed: {
  readonly min: number;
  readonly max: number;
  readonly whole: boolean;
  readonly words: string;
}) {
  const { min, max, whole, words } = allowed;
  const message = `must be ${words}`;
  const sent: NumberText = z
    .string({ error: () => message })
    .meta({ type: whole ? 'integer' : 'number', minimum: min, maximum: max });
  return sent.transform((text, context) => {
    const number = text.trim() === '' || (whole && !/^\d{1,15}$/.test(text)) ? Number.NaN : Number(text);
    if (number >= min && number <= max) return number;
    context.issues.push({ code: 'custom', input: text, message });
    return z.NEVER;
  });
}

/** One of some words. */
export function oneOfSchema<const T extends readonly [string, ...string[]]>(words: T) {
  return z.enum(words, { error: () => `must be one of ${words.join(', ')}` });
}

const flagTextSchema: z.ZodType<'true' | 'false', 'true' | 'false' | boolean> = z
  .enum(['true', 'false'], { error: () => 'must be one of true, false' })
  .meta({ type: 'boolean', enum: undefined });
export const flagSchema = flagTextSchema.transform((text) => text === 'true');

/** What a path names by its number. @param listed where such numbers are listed, as a sentence */
export function numberedSchema(listed: string) {
  const sent: NumberText = z
    .string()
    .regex(/^\d{1,15}$/, listed)
    .meta({ type: 'integer', pattern: undefined });
  return sent.transform(Number);
}

export const span = { from: instantSchema, to: instantSchema };
export const optionalSpan = { from: instantSchema.optional(), to: instantSchema.optional() };

/** Most rows of one part of a list. */
const MAX_LIMIT = 1_000;

/** A list is answered whole unless `limit` is given; `next` of an answer is the `cursor` of the next question. */
export const paging = {
  limit: numberSchema({
    min: 1,
    max: MAX_LIMIT,
    whole: true,
    words: `a whole number from 1 to ${MAX_LIMIT}`,
  }).optional(),
  cursor: z
    .string({ error: () => CURSOR_FAULT })
    .max(200, { error: () => CURSOR_FAULT })
    .optional(),
};
export const CURSOR_FAULT = 'must be the `next` of an earlier answer, with a `limit` beside it';

/** The `next` of an answer to a question with a `limit`; null at the end. */
export const next = {
  next: z.string().nullable().describe('the `cursor` to ask on with, null at the end').exactOptional(),
};

const temperature = numberSchema({
  min: -30,
  max: 60,
  whole: false,
  words: 'a temperature from -30 to 60 °C',
});
/** The limits of thermal time, °C: `baseC` with `upperC`, or with `optimumC` and `stopC`. */
export const thermalLimits = {
  baseC: temperature.optional(),
  upperC: temperature.optional(),
  optimumC: temperature.optional(),
  stopC: temperature.optional(),
};
