import { describe, expect, test } from 'vitest';
import { type MistMoment, runTimer } from '../../../../../server/domain/advice/mist-timers.ts';

const OPTIONS = { stepMin: 5, everyMin: 10, filmUm: 100 };
const at = (change: Partial<MistMoment> = {}): MistMoment => ({
  filmMin: 30,
  lit: true,
  strong: true,
  vpdKpa: 0.5,
  saturated: false,
  mayDryMin: 0,
  ...change,
});
/** So many hours of one moment. */
const hours = (count: number, change: Partial<MistMoment> = {}) =>
  Array.from({ length: count * 12 }, () => at(change));

describe('mist timers on a record', () => {
  test('a fixed one every 10 min gives 6 pulses an hour and 0.1 L/m² each, day and night', () => {
    const outcome = runTimer('fixed', [...hours(10), ...hours(14, { lit: false })], OPTIONS);
    expect(outcome.pulses).toBe(144);
    expect(outcome.waterLM2).toBeCloseTo(14.4, 9);
    expect(outcome.dryMinutes).toBe(0);
  });

  test('one in steps waits twice as long in weak light and six times in the dark', () => {
    const weak = hours(10, { strong: false });
    expect(runTimer('stepped', weak, OPTIONS).pulses).toBe(30);
    expect(runTimer('stepped', hours(10, { lit: false }), OPTIONS).pulses).toBe(10);
  });

  test('the advised one mists as the film of 30 min is gone: 2 pulses an hour in place of 6, no minute dry', () => {
    const outcome = runTimer('advised', hours(10), OPTIONS);
    expect(outcome.pulses).toBe(20);
    expect(outcome.light).toEqual({ middleMin: 30, fromMin: 30, toMin: 30 });
    expect(outcome.dryMinutes).toBe(0);
  });

  test('cuttings that may stand dry for 20 min are misted every 50 min, with 20 of them dry', () => {
    const outcome = runTimer('advised', hours(10, { mayDryMin: 20 }), OPTIONS);
    expect(outcome.light?.middleMin).toBe(50);
    expect(outcome.dryMinutes).toBe(240);
  });

  test('in the dark it waits until 7.5 kPa·min have gathered, and in still damp air mists not at all', () => {
    const dark = { lit: false, filmMin: 10 };
    const dry = runTimer('advised', [at(), ...hours(10, { ...dark, vpdKpa: 0.05 })], OPTIONS);
    expect(dry.dark?.middleMin).toBe(150);
    const damp = runTimer('advised', [at(), ...hours(10, { ...dark, filmMin: null, vpdKpa: 0 })], OPTIONS);
    expect(damp.pulses).toBe(1);
  });

  test('wet leaves in saturated air are counted, and a gap begins anew', () => {
    const wet = runTimer('fixed', hours(2, { saturated: true }), OPTIONS);
    expect(wet.saturatedHours).toBeCloseTo(2, 9);
    expect(runTimer('fixed', [at(), null, at()], { ...OPTIONS, everyMin: 600 }).pulses).toBe(2);
  });
});
