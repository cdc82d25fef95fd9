import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { ExcursionAnswer, ExcursionKind } from '../../../../shared/wire/places/night.ts';
import { causeOf, type Verdict } from '../../../domain/causes/causes.ts';
import type { Cause } from '../../../domain/causes/hypotheses.ts';
import { CAUSES_OF_KIND, causeInWords } from '../../../domain/causes/judged.ts';
import { curveOf } from '../../../domain/exposures/curves.ts';
import { type RecordContext, recordsOf } from '../../world/records.ts';

const MIN_MS = 60_000;
/** Judged so long after the limit was crossed, by readings from so long before on, ms. */
export const JUDGED_AFTER_MS = 10 * MIN_MS;
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
  const verdict = verdictAt(place, { atMs, among: CAUSES_OF_KIND[kind] }, context);
  if (!verdict?.likely) return null;
  const { key, ...said } = causeInWords(verdict, { isFinal: true });
  return key === null ? null : { key, ...said };
}

type Judging = { readonly atMs: number; readonly among: readonly Cause[] };

/** Why a place went beyond a limit, by what was read up to a moment; null where nothing was then. */
export function verdictAt(
  place: Place,
  { atMs, among }: Judging,
  context: Pick<RecordContext, 'world' | 'store'>,
): Verdict | null {
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
  return causeOf(
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
    among,
  );
}
