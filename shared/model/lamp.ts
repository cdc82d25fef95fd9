import { z } from 'zod';

/** Light sources whose illuminance can be turned into PPFD; factors in shared/climate/light.ts. */
const LAMPS = ['daylight', 'cool-white fluorescent', 'metal halide', 'high-pressure sodium'] as const;

export const lampSchema = z.enum(LAMPS);

export type Lamp = z.infer<typeof lampSchema>;
