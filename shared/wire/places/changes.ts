import { z } from 'zod';
import { nameSchema } from '../../model/name.ts';
import type { Output } from '../../model/output.ts';
import { placeSettingsSchema } from '../../model/place.ts';
import { targetsSchema } from '../../model/targets.ts';

/** Most places changed in one go. */
const MAX_CHANGED = 1_000;

const { zone, alarms } = placeSettingsSchema.shape;

const placeChangeSchema = z
  .strictObject({
    placeId: z.string(),
    name: nameSchema.exactOptional(),
    zone: zone.exactOptional(),
    alarms: alarms.describe('all that the place sets about its alarms').exactOptional(),
    targets: targetsSchema.describe('hold from now').exactOptional(),
  })
  .meta({ id: 'PlaceChange', description: 'What one of several places gets; what is left out stays.' });
export type PlaceChange = Output<typeof placeChangeSchema>;

const areDistinct = (changes: readonly { readonly placeId: string }[]): boolean =>
  new Set(changes.map(({ placeId }) => placeId)).size === changes.length;

export const placeChangesSchema = z.strictObject({
  changes: z
    .array(placeChangeSchema)
    .min(1)
    .max(MAX_CHANGED)
    .refine(areDistinct, 'each place may stand in it once'),
});

export const placesChangedSchema = z
  .strictObject({
    changed: z.array(z.string()).describe('ids of the places that were changed, in one commit'),
    refused: z.array(z.strictObject({ placeId: z.string(), reason: z.string() })),
  })
  .meta({ id: 'PlacesChanged' });
export type PlacesChanged = Output<typeof placesChangedSchema>;
