import { describe, expect, it } from 'vitest';
import { mergedVents } from '../../../../../server/domain/vents/merge.ts';
import { saturatedSinceVent } from '../../../../../server/domain/vents/since.ts';
import type { Vent } from '../../../../../server/domain/vents/vent.ts';
import { ventsOf } from '../../../../../server/domain/vents/vents.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';

const M = 60_000;
const span = (fromMin: number, toMin: number | null) => ({
  fromMs: fromMin * M,
  toMs: toMin === null ? null : toMin * M,
});
const listed = (vents: Parameters<typeof mergedVents>[0]) =>
  mergedVents(vents).map(({ fromMs, toMs, how }) => [fromMs / M, toMs === null ? null : toMs / M, how]);

// All expected values follow by hand from the minutes given; they are exact.
describe('vents recognised and logged', () => {
  it('keep the logged one of two that overlap, 505–560 over 510–555 min, and both of two that do not', () => {
    expect(listed({ recognised: [span(510, 555), span(900, 930)], logged: [span(505, 560)] })).toEqual([
      [505, 560, 'logged'],
      [900, 930, 'recognised'],
    ]);
  });

  it('are the same when 15 min apart, and two when 16 min apart', () => {
    expect(listed({ recognised: [span(100, 140)], logged: [span(155, 170)] })).toEqual([
      [155, 170, 'logged'],
    ]);
    expect(listed({ recognised: [span(100, 140)], logged: [span(156, 170)] })).toHaveLength(2);
  });

  it('take the end at 555 min from the recognised one where nobody wrote it down, and hide no vent of the next day', () => {
    expect(listed({ recognised: [span(510, 555), span(1950, 1995)], logged: [span(512, null)] })).toEqual([
      [512, 555, 'logged'],
      [1950, 1995, 'recognised'],
    ]);
  });

  it('keep a logged vent that met nothing without an end, and drop a recognised one still open that met a log', () => {
    expect(listed({ recognised: [], logged: [span(512, null)] })).toEqual([[512, null, 'logged']]);
    expect(listed({ recognised: [span(510, null)], logged: [span(512, 560)] })).toEqual([
      [512, 560, 'logged'],
    ]);
  });

  it('take the end of a recognised one where one tap wrote down a moment, which else is over at once', () => {
    expect(listed({ recognised: [span(510, 555)], logged: [span(512, 512)] })).toEqual([
      [512, 555, 'logged'],
    ]);
    expect(listed({ recognised: [], logged: [span(512, 512)] })).toEqual([[512, 512, 'logged']]);
    expect(listed({ recognised: [span(510, null)], logged: [span(512, 512)] })).toEqual([
      [512, 512, 'logged'],
    ]);
  });

  it('measure a logged vent by the air too: lowest 70 %RH of 95, back at 100 min', () => {
    const timesMs = Array.from({ length: 241 }, (_, minute) => minute * M);
    // slow: a fall of 0.5 %RH a minute from 50 to 100 min is recognised by nobody
    const humidity = timesMs.map((_, minute) =>
      minute >= 50 && minute < 100 ? 95 - 0.5 * (minute - 50) : 95,
    );
    const air = {
      temperature: [probeRecord({ timesMs, values: timesMs.map(() => 24) })],
      humidity: [probeRecord({ timesMs, values: humidity })],
    };
    const { vents } = ventsOf(air, { maxGapMs: 15 * M, logged: [span(50, 99)] });
    expect(vents).toEqual([
      {
        ...span(50, 99),
        how: 'logged',
        lowestPct: expect.closeTo(70.5, 9),
        humidityBack: true,
        backAtMs: 100 * M,
      },
    ]);
  });
});

describe('hours saturated since the last vent', () => {
  const vent = (fromMin: number, toMin: number | null): Vent => ({
    ...span(fromMin, toMin),
    how: 'logged',
    lowestPct: null,
    humidityBack: null,
    backAtMs: null,
  });
  const H = 60;
  const between = (fromHour: number, toHour: number, above: boolean) => ({
    fromMs: fromHour * H * M,
    toMs: toHour * H * M,
    above,
  });
  const window = { fromMs: 0, toMs: 24 * H * M };
  // saturated 0–8 h, below to 10 h, saturated to 16 h, unknown to 20 h, saturated to 24 h
  const saturation = [
    between(0, 8, true),
    between(8, 10, false),
    between(10, 16, true),
    between(20, 24, true),
  ];

  it('are 10 of 10.5 known hours since a vent shut at 9.5 h, 14.5 h ago', () => {
    const last = vent(8 * H, 9.5 * H);
    expect(saturatedSinceVent([vent(2 * H, 3 * H), last], { saturation, window })).toEqual({
      lastVent: last,
      hoursSinceVent: 14.5,
      hoursSaturated: 10,
      coveredHours: 10.5,
    });
  });

  it('are 18 of 20 since the start of the window where no vent is known', () => {
    expect(saturatedSinceVent([], { saturation, window })).toEqual({
      lastVent: null,
      hoursSinceVent: null,
      hoursSaturated: 18,
      coveredHours: 20,
    });
  });

  it('count from the opening at 8 h where no end is known, and leave out a vent after the window', () => {
    const saturated = saturatedSinceVent([vent(8 * H, null), vent(25 * H, 26 * H)], { saturation, window });
    expect([saturated.hoursSinceVent, saturated.hoursSaturated]).toEqual([16, 10]);
  });
});
