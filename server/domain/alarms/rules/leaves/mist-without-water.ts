import { mistWithoutWater as definition } from '../../../../../shared/rules/leaves/mist-without-water.ts';
import { type JudgedPulse, judgedPulses, knownAtMs } from '../../../mist/answered.ts';
import { mistDoubt } from '../../../mist/doubt.ts';
import { DEFAULT_LOOKBACK_MS } from '../../../mist/pattern.ts';
import { dryGapsOf } from '../../../mist/summary.ts';
import { MIST_LOOKBACK_MS, samplesOver } from '../../limit-samples.ts';
import type { LimitSample, RecordSampler, SampleQuestion } from '../sampler.ts';
import { dryLimitAt } from './dry-limit.ts';

const MINUTE_MS = 60_000;
const LOOKBACK_MS = DEFAULT_LOOKBACK_MS + MIST_LOOKBACK_MS;
/** Fewer pulses without an answer are chance. Proposals of the project, as are the next two. */
const LEAST_UNANSWERED = 3;
/** The air answers at a place if it did so often of the day before: of so many pulses this share. */
const LEAST_JUDGED = 5;
const ANSWERS_SHARE = 0.6;

/** Minutes the valve has gone on opening without an answer of the air or the leaf. */
export const mistWithoutWater: RecordSampler = {
  by: 'record',
  beside: ['light/ppfd', 'light/illuminance', 'leaf/temperature'],
  beforeMs: LOOKBACK_MS,
  applies: (_place, known) =>
    known.has('mist/valve') &&
    (known.has('leaf/wetness') || (known.has('air/temperature') && known.has('air/humidity'))),
  samples: unansweredSamples,
};

function unansweredSamples(into: SampleQuestion): LimitSample[] {
  const { mist, water: waterOf, light, intervalMs, wantedMs } = into.mist();
  const water = waterOf();
  const judged = judgedPulses(mist, water);
  const patternAt = patternsOf(
    dryGapsOf(mist, { light, intervalMs, wantedMs }),
    (tMs) => intervalMs ?? wantedMs(tMs),
  );
  const unmistedAt = into.unmisted();
  let [from, known] = [0, 0];
  return samplesOver(into, (tMs, moment) => {
    while (known < judged.length && knownAtMs(judged[known] as JudgedPulse, water) <= tMs) known += 1;
    const patternMs = patternAt(tMs);
    const newest = judged[known - 1];
    if (patternMs === null || !newest || isReadTooSeldom(patternMs, water.cadenceMs))
      return { value: null, limit: null };
    while (from < known && (judged[from]?.fromMs ?? 0) < tMs - LOOKBACK_MS) from += 1;
    const before = judged.slice(from, known);
    const asked = {
      ...dryLimitAt(definition, { ...moment, mistPatternMs: patternMs, unmisted: unmistedAt(tMs) }),
      unjudged: definition.unjudged(moment),
      recovers: (sinceMs: number) => before.some(({ fromMs, isAnswered }) => isAnswered && fromMs > sinceMs),
    };
    return { value: unansweredMin(before, tMs), ...asked };
  });
}

/** Minutes since the first pulse of those in a row without an answer; null where the air does not answer here at all. */
function unansweredMin(judged: readonly JudgedPulse[], tMs: number): number | null {
  const answered = judged.findLastIndex(({ isAnswered }) => isAnswered);
  const run = judged.slice(answered + 1);
  if (run.length < LEAST_UNANSWERED) return 0;
  const before = judged.slice(0, answered + 1);
  const share = before.filter(({ isAnswered }) => isAnswered).length / before.length;
  if (before.length < LEAST_JUDGED || share < ANSWERS_SHARE) return null;
  return (tMs - (run[0] as JudgedPulse).fromMs) / MINUTE_MS;
}

function isReadTooSeldom(intervalMs: number, cadenceMs: number | null): boolean {
  return mistDoubt({ pulses: [], humidity: [], intervalMs, cadenceMs }) !== null;
}

/** The usual time from pulse to pulse at a time, ms; asked at times that only grow. */
function patternsOf(
  gaps: readonly { readonly fromMs: number; readonly patternMs: number | null }[],
  givenMs: (tMs: number) => number | null,
): (tMs: number) => number | null {
  let next = 0;
  return (tMs) => {
    while (next < gaps.length && (gaps[next]?.fromMs ?? 0) < tMs) next += 1;
    return gaps[next - 1]?.patternMs ?? givenMs(tMs);
  };
}
