import { z } from 'zod';
import { MAX_RECORDS, SENML_VERSION } from './limits.ts';
import { ACCEPTED_UNITS } from './units.ts';

/** Labels that make a record a measurement; a record of base fields alone only sets them. */
export const REGULAR_LABELS = ['n', 'u', 'v', 'vs', 'vb', 'vd', 's', 't', 'ut'] as const;

const text = z.string().optional();
const number = z.number().optional();
const describe = <S extends z.ZodType>(schema: S, description: string): S => schema.meta({ description });

/**
 * One SenML record by its fields' types. What hangs on several fields or on the probe
 * (names, units, times, ranges) is judged when the pack is decoded.
 * @source [RFC8428] tables 1 and 2
 */
const senmlRecordSchema = z
  .object({
    bn: describe(text, 'base name: put before n, from this record on'),
    bt: describe(number, 'base time, s: added to t, from this record on'),
    bu: describe(text, 'base unit: used where u is absent, from this record on'),
    bv: describe(number, 'base value: added to v, from this record on'),
    bs: describe(number, 'base sum: added to s, from this record on; not stored'),
    bver: z.int().min(1).max(SENML_VERSION).optional(),
    n: describe(text, 'name: bn + n is <probe> or <device>/<probe>'),
    u: text.meta({ description: 'unit', enum: ACCEPTED_UNITS }),
    v: describe(number, 'value'),
    vs: describe(text, 'text value: not accepted'),
    vb: describe(z.boolean().optional(), 'on or off: for mist/valve and unassigned probes'),
    vd: describe(text, 'data value: not accepted'),
    s: describe(number, 'sum, unit times s: accepted beside v, not stored'),
    t: describe(number, 'time, s: bt + t below 268435456 is relative to arrival, else since 1970 UTC'),
    ut: describe(z.number().min(0).optional(), 'most seconds until the next reading of this probe'),
  })
  .meta({
    description: 'One SenML record (RFC 8428): a measurement, or base fields alone.',
    patternProperties: { _$: false },
    not: { anyOf: [{ required: ['vs'] }, { required: ['vd'] }, { required: ['v', 'vb'] }] },
    anyOf: [
      { required: ['v'] },
      { required: ['vb'] },
      { not: { anyOf: REGULAR_LABELS.map((label) => ({ required: [label] })) } },
    ],
  });

/** A SenML pack: what a readings message carries. */
export const readingsPackSchema = z.array(senmlRecordSchema).min(1).max(MAX_RECORDS).meta({
  title: 'strikewell/1/<device>/readings',
  description: 'A SenML pack as application/senml+json.',
});

export type SenmlRecord = z.infer<typeof senmlRecordSchema>;
