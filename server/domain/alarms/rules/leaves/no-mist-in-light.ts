import type { Window } from '../../../../../shared/exposure/series.ts';
import { noMistInLight as definition } from '../../../../../shared/rules/leaves/no-mist-in-light.ts';
import { mistDoubt } from '../../../mist/doubt.ts';
import { DEFAULT_LOOKBACK_MS, type DryGap } from '../../../mist/pattern.ts';
import type { MistRecord } from '../../../mist/pulse.ts';
import { dryGapsOf } from '../../../mist/summary.ts';
import { MIST_LOOKBACK_MS, SAMPLE_EVERY_MS, samplesOver } from '../../limit-samples.ts';
import type { LimitSample, RecordSampler, SampleQuestion } from '../sampler.ts';
import { dryLimitAt } from './dry-limit.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** Minutes without a mist pulse in light. */
export const noMistInLight: RecordSampler = {
  by: 'record',
  beside: ['light/ppfd', 'light/illuminance', 'leaf/temperature'],
  beforeMs: DEFAULT_LOOKBACK_MS + MIST_LOOKBACK_MS,
  firstBy: 'mist/valve',
  expected: ({ settings }, known) => known.has('mist/valve') || settings.mistEveryMin !== null,
  // whether there is mist at all is said by its pulses, or by its stated interval
  applies: (_place, known) =>
    known.has('mist/valve') ||
    known.has('leaf/wetness') ||
    (known.has('air/temperature') && known.has('air/humidity')),
  samples: drySamples,
};

/** How long leaves had been without mist at each sample; live a pulse is known some readings later. */
function drySamples(into: SampleQuestion): LimitSample[] {
  const { mist, light, intervalMs, wantedMs } = into.mist();
  const { maxGapMs } = into.place.settings;
  const gaps = dryGapsOf(mist, { light, intervalMs, wantedMs });
  const givenMs = (tMs: number) => intervalMs ?? wantedMs(tMs);
  const sound = soundAt(mist, givenMs);
  const newestPulse = pulsesBefore(mist);
  const unmistedAt = into.unmisted();
  let next = 0;
  return samplesOver(into, (tMs, moment) => {
    const pulseMs = newestPulse(tMs);
    // light that begins, or ends, is no pulse
    const recovers = (sinceMs: number) => pulseMs !== null && pulseMs > sinceMs - SAMPLE_EVERY_MS;
    while (next < gaps.length && (gaps[next] as DryGap).fromMs < tMs) next += 1;
    const gap = gaps[next - 1];
    const seen = gap !== undefined && gap.toMs > tMs - MIST_LOOKBACK_MS ? gap : undefined;
    const patternMs = seen?.patternMs ?? givenMs(tMs);
    if (patternMs === null || !sound(tMs)) return { value: null, limit: null };
    const limited = dryLimitAt(definition, {
      ...moment,
      mistPatternMs: patternMs,
      unmisted: unmistedAt(tMs),
    });
    const asked = { ...limited, unjudged: definition.unjudged(moment), recovers };
    if (!seen) return { value: 0, ...asked };
    const toMs = Math.min(seen.toMs, tMs);
    const fromMs = Math.max(seen.fromMs, tMs - MIST_LOOKBACK_MS);
    return { value: tMs - toMs <= maxGapMs ? (toMs - fromMs) / MINUTE_MS : 0, ...asked };
  });
}

/** When the newest pulse up to a time ended, or began where no end is known; asked at times that only grow. */
function pulsesBefore({ pulses }: MistRecord): (tMs: number) => number | null {
  let next = 0;
  return (tMs) => {
    while (next < pulses.length && (pulses[next]?.fromMs ?? 0) <= tMs) next += 1;
    const newest = pulses[next - 1];
    return newest ? Math.min(newest.toMs ?? newest.fromMs, tMs) : null;
  };
}

/** Whether mist could be counted on at a time, by the pulses of the day before; asked at times that only grow. */
function soundAt(mist: MistRecord, givenMs: (tMs: number) => number | null): (tMs: number) => boolean {
  const { pulses, cadenceMs, covered } = mist;
  let [from, to, watched] = [0, 0, 0];
  let verdict = { untilMs: Number.NEGATIVE_INFINITY, sound: false };
  return (tMs) => {
    while (watched < covered.length && (covered[watched] as Window).toMs < tMs - MIST_LOOKBACK_MS)
      watched += 1;
    const stretch = covered[watched];
    if (!stretch || stretch.fromMs >= tMs) return false;
    // a valve reports its own pulses, and what is not read seldom has no cadence to doubt
    if (cadenceMs === null) return true;
    if (tMs < verdict.untilMs) return verdict.sound;
    while (to < pulses.length && (pulses[to]?.fromMs ?? 0) < tMs) to += 1;
    while (from < to && (pulses[from]?.fromMs ?? 0) < tMs - DEFAULT_LOOKBACK_MS - MIST_LOOKBACK_MS) from += 1;
    const intervalMs = givenMs(tMs);
    const doubt = mistDoubt({ pulses: pulses.slice(from, to), humidity: [], intervalMs, cadenceMs });
    // a day of pulses says much the same an hour later
    verdict = { untilMs: tMs + HOUR_MS, sound: doubt === null };
    return verdict.sound;
  };
}
