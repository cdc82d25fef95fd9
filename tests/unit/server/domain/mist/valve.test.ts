import { describe, expect, it } from 'vitest';
import { valvePulses } from '../../../../../server/domain/mist/valve.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';
import { MAX_GAP_MS, MINUTE_MS } from './readings.ts';

const S = 1000;
const options = { maxGapMs: MAX_GAP_MS };
/** readings as [second, value] */
const valve = (...readings: readonly (readonly [number, number])[]) =>
  probeRecord({ timesMs: readings.map(([s]) => s * S), values: readings.map(([, value]) => value) });

// Expected values are read off the readings by hand; times are exact, so nothing is given as tolerance.
describe('mist pulses of a valve', () => {
  it('takes 1 at 20 s and 0 at 28 s as one pulse of 8 s, between rests at 0 and 60 s', () => {
    const { pulses, covered } = valvePulses([valve([0, 0], [20, 1], [28, 0], [60, 0])], options);
    expect(pulses).toEqual([{ fromMs: 20 * S, toMs: 28 * S, how: 'valve' }]);
    expect(covered).toEqual([{ fromMs: 0, toMs: 60 * S }]);
  });

  it('holds a reading and draws no line: 0 at 0 s, 1 at 60 s, 0 at 120 s is open from 60 to 120 s, not 30 to 90 s', () => {
    expect(valvePulses([valve([0, 0], [60, 1], [120, 0])], options).pulses).toEqual([
      { fromMs: 60 * S, toMs: 120 * S, how: 'valve' },
    ]);
  });

  it('takes 0.5 as open and 0.49 as shut', () => {
    const { pulses } = valvePulses([valve([0, 0.49], [10, 0.5], [20, 0.49], [30, 0.49])], options);
    expect(pulses).toEqual([{ fromMs: 10 * S, toMs: 20 * S, how: 'valve' }]);
  });

  it('repeats 1, 1, 1 within one pulse, and leaves the end of a valve still open unknown', () => {
    const { pulses } = valvePulses([valve([0, 0], [10, 1], [70, 1], [130, 1])], options);
    expect(pulses).toEqual([{ fromMs: 10 * S, toMs: null, how: 'valve' }]);
  });

  it('holds no reading over a silence of 901 s, though over one of 900 s', () => {
    const open = valvePulses([valve([0, 0], [10, 1], [911, 0])], options);
    expect(open.pulses).toEqual([{ fromMs: 10 * S, toMs: null, how: 'valve' }]);
    expect(open.covered).toEqual([{ fromMs: 0, toMs: 10 * S }]);
    expect(valvePulses([valve([0, 0], [10, 1], [910, 0])], options).pulses[0]?.toMs).toBe(910 * S);
  });

  it('begins a new pulse where a valve is found open after a silence of 2 h', () => {
    const { pulses, covered } = valvePulses([valve([0, 1], [60, 1], [7260, 1], [7268, 0])], options);
    expect(pulses).toEqual([
      { fromMs: 0, toMs: null, how: 'valve' },
      { fromMs: 7260 * S, toMs: 7268 * S, how: 'valve' },
    ]);
    expect(covered.map(({ fromMs, toMs }) => toMs - fromMs)).toEqual([MINUTE_MS, 8 * S]);
  });

  it('takes two valves that overlap by 2 s as one pulse, and two that do not as two', () => {
    const left = valve([0, 0], [10, 1], [18, 0], [60, 0]);
    const group = valvePulses([left, valve([0, 0], [16, 1], [24, 0], [60, 0])], options);
    expect(group.pulses).toEqual([{ fromMs: 10 * S, toMs: 24 * S, how: 'valve' }]);
    const apart = valvePulses([left, valve([0, 0], [30, 1], [38, 0], [60, 0])], options);
    expect(apart.pulses.map(({ fromMs }) => fromMs)).toEqual([10 * S, 30 * S]);
  });

  it('finds nothing in no records and covers nothing with a single reading', () => {
    expect(valvePulses([], options)).toEqual({ pulses: [], covered: [] });
    expect(valvePulses([valve([5, 0])], options)).toEqual({ pulses: [], covered: [] });
  });
});
