import fitting from '../../../seeds/targets/first-contact.json' with { type: 'json' };
import general from '../../../seeds/targets/general-herbaceous-bottom-heat.json' with { type: 'json' };
import type { SetUp } from '../../../shared/model/set-up.ts';
import { type Targets, targetSheetSchema, targetsSchema } from '../../../shared/model/targets.ts';

/**
 * Bands that fit what was answered about a new place: air, ceiling and root zone by what roots, the deficit by what it
 * stands in, day, night and all else as in the general sheet. Without a mat the medium is as warm as the air lets it
 * be, so that its band reaches from the lowest of the night to the highest of the day.
 * @example fittingTargets({ kind: 'bench', mat: true, roots: 'herbaceous' }) // the general sheet
 */
export function fittingTargets({ kind, mat, roots }: SetUp): Targets {
  const { targets } = targetSheetSchema.parse(general);
  const crop = fitting.roots[roots];
  const { air } = crop;
  const rootZone = mat ? crop.rootZone : { lowC: air.night.lowC, highC: air.day.highC };
  const { vpd } = 'vpd' in crop ? crop : fitting.kinds[kind];
  return targetsSchema.parse({ ...targets, air, rootZone: { day: rootZone, night: rootZone }, vpd });
}
