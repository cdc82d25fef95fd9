import { z } from 'zod';
import { pointerTokens } from '../../json-pointer.ts';
import { filtersOverlap, foreignFilterFault } from '../../topic-filter.ts';
import type { Output } from '../output.ts';

/** Most values one mapping reads from a message, and most mappings. */
const MAX_MAPPED_VALUES = 50;
export const MAX_MAPPINGS = 100;
const MAX_FILTER_CHARS = 500;
const MAX_POINTER_CHARS = 500;
const MAX_LEVEL = 20;

/** How a time in a message is written: RFC 3339 with an offset, or counted since 1970. */
const MAPPED_TIMES = ['rfc3339', 's', 'ms'] as const;

const pointer = z
  .string()
  .max(MAX_POINTER_CHARS)
  .refine((text) => pointerTokens(text) !== null, 'expected a JSON pointer such as /air/temperature');

/** A filter of topics that are none of the contract's. */
export const foreignFilterSchema = z
  .string()
  .max(MAX_FILTER_CHARS)
  .superRefine((text, context) => {
    const fault = foreignFilterFault(text);
    if (fault !== null) context.addIssue({ code: 'custom', message: `the topic ${fault}` });
  });

const mappedValueSchema = z.strictObject({
  /** where the value stands; '' is the message itself, when it is a bare number */
  pointer,
  /** name of the probe it is a reading of */
  probe: z
    .string()
    .regex(
      /^[A-Za-z0-9][A-Za-z0-9\-:./_]{0,95}$/,
      'expected a probe name: 1 to 96 of A-Z a-z 0-9 - : . / _, beginning with a letter or digit',
    ),
  /** code of the unit it is in after scale and offset; null for none */
  unit: z.string().min(1).max(40).nullable(),
  /** the reading is scale × value + offset */
  scale: z
    .number()
    .refine((factor) => factor !== 0, 'a scale of 0 leaves nothing of the value')
    .default(1),
  offset: z.number().default(0),
  /** a message without it is no fault */
  optional: z.boolean().default(false),
});

const fixedDevice = z.strictObject({
  kind: z.literal('named'),
  name: z
    .string()
    .regex(
      /^(?!\.{1,2}$)[A-Za-z0-9_.-]{1,64}$/,
      'expected a device name: 1 to 64 of A-Z a-z 0-9 - _ . and not . or ..',
    ),
});
const deviceFromTopic = z.strictObject({
  kind: z.literal('level'),
  /** which level of the topic is the device's name, from 1 */
  level: z.number().int().min(1).max(MAX_LEVEL),
});

/** How messages of topics that are none of the contract's are read as readings. */
export const mappingSchema = z
  .strictObject({
    filter: foreignFilterSchema,
    device: z.discriminatedUnion('kind', [fixedDevice, deviceFromTopic]),
    /** place of the probes it brings that nobody knows yet; null: a place of the device's name */
    placeId: z.string().min(1).max(64).nullable(),
    time: z.discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('arrival') }),
      z.strictObject({ kind: z.literal('pointer'), pointer, as: z.enum(MAPPED_TIMES) }),
    ]),
    values: z.array(mappedValueSchema).min(1, 'choose at least one value').max(MAX_MAPPED_VALUES),
  })
  .refine(({ values }) => new Set(values.map(({ probe }) => probe)).size === values.length, {
    message: 'each probe can be read from one value only; number them, such as air/temperature/2',
    path: ['values'],
  });

export type NewMapping = Output<typeof mappingSchema>;

export type MappedValue = Output<typeof mappedValueSchema>;
export type MappedTime = (typeof MAPPED_TIMES)[number];

/** The mapping that shares a topic with a filter: a topic is read by one mapping only, so that nothing is read twice. */
export function sharesTopics(filter: string, mappings: readonly Mapping[]): Mapping | null {
  return mappings.find((mapping) => filtersOverlap(mapping.filter, filter)) ?? null;
}

export const keptMappingSchema = mappingSchema.safeExtend({ id: z.number() }).meta({ id: 'Mapping' });
export type Mapping = Output<typeof keptMappingSchema>;
