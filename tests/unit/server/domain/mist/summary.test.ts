import { describe, expect, it } from 'vitest';
import { dryGaps, missedTimesMs } from '../../../../../server/domain/mist/pattern.ts';
import type { MistRecord, Pulse } from '../../../../../server/domain/mist/pulse.ts';
import { mistSummary } from '../../../../../server/domain/mist/summary.ts';
import { MINUTE_MS } from './readings.ts';

const M = MINUTE_MS;
const H = 60 * M;
const minutes = (fromMin: number, toMin: number) => ({ fromMs: fromMin * M, toMs: toMin * M });
const lit = (fromMin: number, toMin: number) => ({ ...minutes(fromMin, toMin), above: true });
const dark = (fromMin: number, toMin: number) => ({ ...minutes(fromMin, toMin), above: false });
/** pulses of no length at these minutes, so that gaps are whole minutes */
const pulsesAt = (...atMin: readonly number[]): Pulse[] =>
  atMin.map((min) => ({ fromMs: min * M, toMs: min * M, how: 'valve' }));
const mistOf = (pulses: Pulse[], ...covered: { fromMs: number; toMs: number }[]): MistRecord => ({
  pulses,
  covered,
  reliable: true,
  reason: null,
  cadenceMs: null,
});
const every10 = (fromMin: number, toMin: number): number[] =>
  Array.from({ length: (toMin - fromMin) / 10 + 1 }, (_, i) => fromMin + 10 * i);

// All expected values are counted by hand from the minutes given; they are exact.
describe('what the mist did in a window', () => {
  const day = { light: [dark(0, 360), lit(360, 1080), dark(1080, 1440)], window: minutes(0, 1440) };

  it('counts 73 pulses in 12 h of light, 6.08 an hour, none in 12 h of dark, none missed', () => {
    const mist = mistOf(pulsesAt(...every10(360, 1070), 1079), minutes(0, 1440));
    const summary = mistSummary(mist, { ...day, intervalMs: null });
    expect(summary.inLight).toEqual({ coveredHours: 12, pulses: 73, pulsesPerHour: 73 / 12 });
    expect(summary.inDark).toEqual({ coveredHours: 12, pulses: 0, pulsesPerHour: 0 });
    expect([summary.pulses, summary.missed, summary.patternMs]).toEqual([73, 0, 10 * M]);
    expect(summary.pattern).toBe('from the record');
  });

  it('counts 2 missed where pulses at 720 and 730 min fail, and names the dry gap of 30 min', () => {
    const mist = mistOf(
      pulsesAt(...every10(360, 1070).filter((min) => min !== 720 && min !== 730)),
      minutes(0, 1440),
    );
    const summary = mistSummary(mist, { ...day, intervalMs: null });
    expect(summary.missed).toBe(2);
    expect(summary.longestDryGap).toEqual(minutes(710, 740));
  });

  it('counts a valve that stays shut from 720 min to dusk at 1080 min as 36 missed', () => {
    // from 710: due at 720, 730, … and 1070, each with 10 min or more of light left: floor(370/10 + 0.5) − 1
    const mist = mistOf(pulsesAt(...every10(360, 710)), minutes(0, 1440));
    expect(mistSummary(mist, { ...day, intervalMs: null }).missed).toBe(36);
  });

  it('adds up: windows of 0–725, 725–735 and 735–1440 min see 1, 1 and 0 of 2 missed at 720 and 730 min', () => {
    const mist = mistOf(
      pulsesAt(...every10(360, 1070).filter((min) => min !== 720 && min !== 730)),
      minutes(0, 1440),
    );
    const missed = [minutes(0, 725), minutes(725, 735), minutes(735, 1440)].map(
      (window) => mistSummary(mist, { ...day, window, intervalMs: null }).missed,
    );
    expect(missed).toEqual([1, 1, 0]);
  });

  it('misses nothing in a silence of 180 min, and has no dry gap longer than 10 min', () => {
    const mist = mistOf(
      pulsesAt(...every10(360, 600), ...every10(780, 1070)),
      minutes(0, 600),
      minutes(780, 1440),
    );
    const summary = mistSummary(mist, { ...day, intervalMs: null });
    expect(summary.missed).toBe(0);
    expect(summary.inLight.coveredHours).toBe(9);
    expect((summary.longestDryGap?.toMs ?? 0) - (summary.longestDryGap?.fromMs ?? 0)).toBe(10 * M);
  });

  it('misses nothing in the dark: no pulse from 1080 to 360 min the next morning', () => {
    const mist = mistOf(pulsesAt(...every10(360, 1070), ...every10(1800, 2510)), minutes(0, 2880));
    const light = [dark(0, 360), lit(360, 1080), dark(1080, 1800), lit(1800, 2520), dark(2520, 2880)];
    expect(mistSummary(mist, { light, window: minutes(0, 2880), intervalMs: null }).missed).toBe(0);
  });

  it('bridges a cloud of 20 min and not one of 30 min: 5 failed pulses from 700 to 760 min count, or not', () => {
    const mist = mistOf(pulsesAt(...every10(360, 700), ...every10(760, 1070)), minutes(0, 1440));
    const under = (cloud: [number, number]) => [
      dark(0, 360),
      lit(360, cloud[0]),
      dark(...cloud),
      lit(cloud[1], 1080),
      dark(1080, 1440),
    ];
    const missed = (cloud: [number, number]) =>
      mistSummary(mist, { ...day, light: under(cloud), intervalMs: null }).missed;
    expect(missed([720, 740])).toBe(5);
    // 700–720 and 750–760 are left: 20 min are 2 intervals, floor(2.5) − 1 = 1 missed; 10 min are none
    expect(missed([720, 750])).toBe(1);
  });

  it('judges by a stated interval of 5 min where the record has 10: 1 missed in each of 71 gaps, and at the end', () => {
    const mist = mistOf(pulsesAt(...every10(360, 1070)), minutes(0, 1440));
    const summary = mistSummary(mist, { ...day, intervalMs: 5 * M });
    expect([summary.missed, summary.pattern, summary.patternMs]).toEqual([72, 'stated', 5 * M]);
  });

  it('says null, not 0, where there is no pattern yet after 4 intervals, or no light', () => {
    const few = mistOf(pulsesAt(...every10(360, 400)), minutes(0, 420));
    expect(mistSummary(few, { ...day, window: minutes(0, 400), intervalMs: null }).missed).toBeNull();
    const night = mistSummary(few, { light: [dark(0, 1440)], window: minutes(0, 1440), intervalMs: 10 * M });
    expect([night.missed, night.longestDryGap, night.inLight.pulsesPerHour]).toEqual([null, null, null]);
  });

  it('keeps its pattern of 10 min when 2 of every 6 pulses fail, and counts 22 of those 24', () => {
    const failing = every10(360, 1070).filter((_, i) => i % 6 !== 2 && i % 6 !== 3);
    const summary = mistSummary(mistOf(pulsesAt(...failing), minutes(0, 1440)), { ...day, intervalMs: null });
    expect(summary.patternMs).toBe(10 * M);
    // 72 pulses, 2 of every 6 fail: 24; the first two fail before 5 intervals make a pattern
    expect(summary.missed).toBe(22);
  });

  it('counts no dry gap while a valve is stuck open for 3 h, nor a missed pulse', () => {
    const stuck: Pulse[] = [...pulsesAt(...every10(360, 890)), { fromMs: 900 * M, toMs: null, how: 'valve' }];
    const summary = mistSummary(mistOf(stuck, minutes(0, 1440)), { ...day, intervalMs: null });
    expect(summary.missed).toBe(0);
    expect(summary.longestDryGap).toEqual(minutes(360, 370));
  });
});

describe('missed pulses of one gap', () => {
  it.each([
    { gapMin: 14.9, missed: 0 },
    { gapMin: 15, missed: 1 },
    { gapMin: 24.9, missed: 1 },
    { gapMin: 25, missed: 2 },
    { gapMin: 3, missed: 0 },
  ])('are $missed in $gapMin min at 10 min a pulse: floor(gap/interval + 0.5) − 1', ({ gapMin, missed }) => {
    expect(missedTimesMs({ fromMs: 0, toMs: gapMin * M, patternMs: 10 * M })).toHaveLength(missed);
  });

  it('start again in each stretch: 6 min before and 6 min after a silence are no gap of 12 min', () => {
    const gaps = dryGaps(pulsesAt(0, 112), [minutes(0, 6), minutes(106, 112)], { intervalMs: 7 * M });
    expect(gaps.map(({ fromMs, toMs }) => (toMs - fromMs) / M)).toEqual([6, 6]);
  });

  it('look back 24 h for the pattern, or as far as is said: after 30 h of silence there is none, within 48 h there is', () => {
    const pulses = pulsesAt(...every10(0, 100));
    const stretches = [minutes(0, 100), { fromMs: 32 * H, toMs: 33 * H }];
    const patternAtEnd = (lookbackMs?: number) =>
      dryGaps(pulses, stretches, { intervalMs: null, lookbackMs }).at(-1)?.patternMs;
    expect(patternAtEnd()).toBeNull();
    expect(patternAtEnd(48 * H)).toBe(10 * M);
  });
});
