import type { BatchDemand } from '../../shared/wire/cuttings/demand.ts';
import { fixed } from '../common/format.ts';

/** The light that a batch had against what is wanted, in a sentence; null before its first whole day with targets. */
export function lightSumWords(light: NonNullable<BatchDemand['light']>): string | null {
  const { days, molM2, wantedLowMolM2: low, wantedHighMolM2: high } = light;
  if (days === 0) return null;
  const state = molM2 < low ? 'less than' : molM2 > high ? 'more than' : 'within';
  return `In ${days} whole ${days === 1 ? 'day' : 'days'} it had ${fixed(molM2, 1)} mol m⁻² of light, ${state} the ${fixed(low, 1)} to ${fixed(high, 1)} that its targets want.`;
}
