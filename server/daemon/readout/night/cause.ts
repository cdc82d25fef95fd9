import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { ExcursionAnswer, ExcursionKind } from '../../../../shared/wire/places/night.ts';
import { causeOf } from '../../../domain/causes/causes.ts';
import type { Cause } from '../../../domain/causes/hypotheses.ts';
import { curveOf } from '../../../domain/exposures/curves.ts';
import { type RecordContext, recordsOf } from '../../world/records.ts';

/** What may have brought a place beyond each limit. */
const BY_KIND: Readonly<Record<ExcursionKind, readonly Cause[]>> = {
  'air-over-ceiling': ['sun-on-cover', 'sun-on-sensor', 'hot-room'],
  'air-above-band': ['sun-on-cover', 'sun-on-sensor', 'hot-room'],
  'air-below-band': ['vent-open', 'heater-out', 'power-cut', 'mist-stuck'],
  'air-far-too-cold': ['vent-open', 'heater-out', 'power-cut'],
  'root-zone-over-ceiling': ['mat-runaway', 'sun-on-cover', 'hot-room'],
  'root-zone-above-band': ['mat-runaway', 'sun-on-cover', 'hot-room'],
  'root-zone-below-band': ['mat-off', 'probe-out', 'cold-mist-water', 'heater-out', 'power-cut'],
  'vpd-above-band': ['vent-open', 'mist-stopped', 'water-off', 'sun-on-cover', 'sun-on-sensor'],
  saturated: ['mist-stuck', 'wet-probe'],
  'no-mist': ['mist-stopped', 'water-off'],
  'no-data': ['power-cut'],
};

const MIN_MS = 60_000;
/** Judged so long after the limit was crossed, by readings from so long before on, ms. */
const JUDGED_AFTER_MS = 10 * MIN_MS;
const BEFORE_MS = 160 * MIN_MS;

type Begun = { readonly kind: ExcursionKind; readonly fromMs: number; readonly toMs: number };

/** The likely cause of what began at a place; null where it is not known, or began less than ten minutes ago. */
export function causeAt(
  place: Place,
  { kind, fromMs, toMs }: Begun,
  context: RecordContext,
): ExcursionAnswer['cause'] {
  // a silence is judged once it is over
  const atMs = (kind === 'no-data' ? toMs : fromMs) + JUDGED_AFTER_MS;
  const names = [
    'air/temperature',
    'air/humidity',
    'root/temperature',
    'outside/temperature',
    'light/ppfd',
    'light/illuminance',
    'mist/valve',
  ] as const;
  const span = { fromMs: atMs - BEFORE_MS, toMs: atMs };
  const records = recordsOf(place, span, names, context, { notAfterMs: atMs });
  const [first] = records['air/temperature'] ?? records['root/temperature'] ?? [];
  const newestMs = first?.timesMs.at(-1) ?? 0;
  if (atMs - newestMs > place.settings.maxGapMs) return null;
  const { knots } = curveOf('ppfdUmolM2S', { records, settings: place.settings });
  const one = (name: (typeof names)[number]): ProbeRecord | null => records[name]?.[0] ?? null;
  const { likely } = causeOf(
    {
      atMs,
      air: one('air/temperature'),
      root: one('root/temperature'),
      humidity: one('air/humidity'),
      light: knots.count === 0 ? null : knots,
      outside: one('outside/temperature'),
      valve: one('mist/valve'),
      covered: place.kind === 'dome' || place.kind === 'case' || place.kind === 'frame',
    },
    BY_KIND[kind],
  );
  if (likely === null) return null;
  const { cause, sentence, toBeSure, evidence, score } = likely;
  const said = `Likely ${sentence}. To be sure: ${toBeSure}.`;
  return { key: cause, sentence: said, evidence: [...evidence], confidence: score };
}
