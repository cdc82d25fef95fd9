import { z } from 'zod';
import { HARM_KINDS, type HarmKind } from '../../harm/scale.ts';
import type { Output } from '../../model/output.ts';

const temperatureExposureSchema = z
  .strictObject({
    coveredHours: z.number(),
    hoursBelow: z.number(),
    hoursWithin: z.number(),
    hoursAbove: z.number(),
    degreeHoursBelow: z.number(),
    degreeHoursAbove: z.number(),
    minC: z.number().nullable(),
    maxC: z.number().nullable(),
    meanC: z.number().nullable(),
  })
  .meta({ id: 'TemperatureExposure' });
export type TemperatureExposure = Output<typeof temperatureExposureSchema>;

const rootMinusAirSchema = z
  .strictObject({
    coveredHours: z.number(),
    hoursAirWarmer: z.number(),
    degreeHoursAirWarmer: z.number(),
    minK: z.number().nullable(),
    maxK: z.number().nullable(),
    meanK: z.number().nullable(),
  })
  .meta({
    id: 'RootMinusAir',
    description:
      'How far the root zone is warmer than the air, K; "air warmer" counts the time it is the other way round.',
  });
export type RootMinusAir = Output<typeof rootMinusAirSchema>;

const condensationSchema = z
  .strictObject({
    surface: z.enum(['wall', 'outside']).nullable(),
    coveredHours: z.number(),
    hoursBelowDewPoint: z.number(),
    minMarginK: z.number().nullable(),
  })
  .meta({
    id: 'Condensation',
    description:
      'Margin of the coldest watched surface over the dew point, K; the outside stands in where no wall is watched.',
  });
export type Condensation = Output<typeof condensationSchema>;

const wetHoursSchema = z
  .strictObject({
    condition: z.string(),
    name: z.string(),
    coveredHours: z.number(),
    hours: z.number(),
    longestHours: z.number(),
    source: z.string(),
  })
  .meta({
    id: 'WetHours',
    description: 'Hours in published conditions of a disease: a counter, never a diagnosis.',
  });
export type WetHours = Output<typeof wetHoursSchema>;

const harmSchema = z
  .strictObject(
    Object.fromEntries(HARM_KINDS.map((kind) => [kind, z.number()])) as Record<HarmKind, z.ZodNumber>,
  )
  .meta({
    id: 'Harm',
    description:
      'Harm by kind, dimensionless: at 1 a batch without roots is expected to be damaged, or to have lost a day.',
  });

export const exposuresSchema = z
  .strictObject({
    placeId: z.string(),
    from: z.string(),
    to: z.string(),
    rootZone: temperatureExposureSchema,
    air: temperatureExposureSchema.extend({
      hoursOverCeiling: z.number(),
      degreeHoursOverCeiling: z.number(),
    }),
    vpd: z.strictObject({
      coveredHours: z.number(),
      hoursBelow: z.number(),
      hoursWithin: z.number(),
      hoursAbove: z.number(),
      kpaHoursBelow: z.number(),
      kpaHoursAbove: z.number(),
      minKpa: z.number().nullable(),
      maxKpa: z.number().nullable(),
      meanKpa: z.number().nullable(),
    }),
    saturation: z.strictObject({ coveredHours: z.number(), hoursSaturated: z.number() }),
    light: z.strictObject({
      coveredHours: z.number(),
      days: z.array(
        z.strictObject({
          date: z.string(),
          dliMolM2: z.number(),
          coveredHours: z.number(),
          photoperiodHours: z.number().describe('time at or above the photoperiodic threshold'),
        }),
      ),
    }),
    leafVpd: z
      .strictObject({
        coveredHours: z.number(),
        kpaHours: z.number(),
        maxKpa: z.number().nullable(),
        meanKpa: z.number().nullable(),
        assumedOffsetK: z.number().nullable(),
        offsetFrom: z
          .literal('light')
          .describe('there where the leaf’s temperature is estimated from the light that falls on it')
          .exactOptional(),
      })
      .describe(
        'deficit at the leaf; `assumedOffsetK` is null where a leaf probe reports, and where light says how warm the leaf is',
      ),
    daylightVpd: z
      .strictObject({ coveredHours: z.number(), kpaHours: z.number() })
      .describe('deficit of the air summed over the day halves of the span'),
    rootMinusAir: rootMinusAirSchema,
    condensation: condensationSchema,
    wetHours: z.array(wetHoursSchema),
    harm: harmSchema.nullable().describe('null where a part was counted for good before harm was counted'),
  })
  .meta({ id: 'Exposures' });
export type Exposures = Output<typeof exposuresSchema>;

const temperatureBands = {
  rootZone: z.strictObject({ lowC: z.number(), highC: z.number() }),
  air: z.strictObject({ lowC: z.number(), highC: z.number() }),
};

export const bandSpanSchema = z
  .strictObject({
    from: z.string(),
    to: z.string(),
    night: z.boolean(),
    ...temperatureBands,
    end: z
      .strictObject(temperatureBands)
      .describe('where bands that move in a straight line have come by `to`; absent where they stand still')
      .exactOptional(),
    ceilingC: z.number(),
    vpd: z.strictObject({ lowKpa: z.number(), highKpa: z.number() }),
  })
  .meta({
    id: 'BandSpan',
    description:
      "The bands of a span resolved to instants: what a chart shades. Limits in the quantity's own unit.",
  });
export type BandSpan = Output<typeof bandSpanSchema>;
