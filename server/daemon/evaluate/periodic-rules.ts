import type { Place } from '../../../shared/model/place.ts';
import type { LimitRule } from '../../../shared/rules/rules.ts';
import type { Sample } from '../../domain/alarms/limit-alarm.ts';
import { heldRule } from '../../domain/alarms/limits.ts';
import { RECORD_RULES } from '../../domain/alarms/rules/registry.ts';
import { WHOLE_PLACE } from '../../domain/alarms/signals.ts';
import { samplesOf } from '../readout/limit-samples.ts';
import type { RecordContext } from '../world/records.ts';

type PeriodicSample = { readonly rule: LimitRule; readonly sample: Sample };

/**
 * What only the record of the last hours shows of a place: minutes since the last mist pulse in light, hours a vent has
 * been open, hours saturated since the last vent. For rules that are on, by the very samples that a trial takes of the past.
 * @param atMs time of the look, ms since epoch
 */
export function periodicSamples(place: Place, atMs: number, context: RecordContext): PeriodicSample[] {
  const targets = context.world.targets(place.id, atMs);
  return RECORD_RULES.flatMap((rule) => {
    if (!heldRule(rule, { place, targets }).on) return [];
    const sample = samplesOf(rule, { place, span: { fromMs: atMs, toMs: atMs + 1 } }, context)?.at(-1);
    if (!sample || sample.value === null) return [];
    const { value } = sample;
    return [{ rule, sample: { ...sample, source: WHOLE_PLACE, value, slopePerMin: null } }];
  });
}
