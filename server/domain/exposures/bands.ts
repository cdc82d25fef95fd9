import type { TemperatureBandC } from '../../../shared/model/targets.ts';
import type { TargetSpan } from '../calendar/spans.ts';

/** The temperature band of one position that holds in a span, °C. */
export function bandOf(span: TargetSpan, position: 'rootZone' | 'air'): TemperatureBandC {
  return span.targets[position][span.night ? 'night' : 'day'];
}
