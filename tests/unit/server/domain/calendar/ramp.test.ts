import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Sky } from '../../../../../server/domain/calendar/nights.ts';
import { dayShareAt, type MovingHalf, movingDayNight } from '../../../../../server/domain/calendar/ramp.ts';
import { segmentsOf } from '../../../../../shared/exposure/coverage.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';
import { bandAt } from '../../../../../shared/model/target-band.ts';
import { daysFrom, TARGETS } from '../../support/targets.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const at = (text: string) => Date.parse(text);
const slow = (rampMin: number) => ({ ...TARGETS, rampMin });

function shareAt(
  targets: typeof TARGETS,
  text: string,
  { zone = 'UTC', sky = null as Sky | null } = {},
): number {
  const fromMs = at(text);
  const [half] = movingDayNight({ targets, fromMs, toMs: fromMs + 1, zone, sky });
  return half ? dayShareAt(half, fromMs) : Number.NaN;
}

describe('bands that take 90 min from 06:00 and 20:00 on', () => {
  test.each([
    ['2026-06-01T05:59:59Z', 0],
    ['2026-06-01T06:00:00Z', 0],
    ['2026-06-01T06:30:00Z', 1 / 3],
    ['2026-06-01T07:30:00Z', 1],
    ['2026-06-01T19:59:59Z', 1],
    ['2026-06-01T20:45:00Z', 0.5],
    ['2026-06-01T21:30:00Z', 0],
  ])('have come this far to day at %s: %d', (text, share) => {
    expect(shareAt(slow(90), text)).toBeCloseTo(share, 12);
  });

  test('air by night 10 to 15 °C, by day 20 to 25: at 20:45 it is 15 to 20', () => {
    expect(bandAt({ targets: TARGETS, night: true, dayShare: 0.5 }, 'air')).toEqual({ lowC: 15, highC: 20 });
  });

  test('are cut at the switch and on arrival: 06:00, 07:30, 20:00, 21:30', () => {
    const day = { fromMs: at('2026-06-01T00:00Z'), toMs: at('2026-06-02T00:00Z') };
    const pieces = movingDayNight({ targets: slow(90), ...day, zone: 'UTC', sky: null });
    expect(
      pieces.map(({ fromMs, night, move }) => [
        new Date(fromMs).toISOString().slice(11, 16),
        night,
        move !== null,
      ]),
    ).toEqual([
      ['00:00', true, false],
      ['06:00', false, true],
      ['07:30', false, false],
      ['20:00', true, true],
      ['21:30', true, false],
    ]);
  });

  test('stand still with 0, and with nothing stated', () => {
    for (const targets of [slow(0), TARGETS]) expect(shareAt(targets, '2026-06-01T06:00:00Z')).toBe(1);
  });

  test('follow the wall clock: in Rome on 2026-03-29 the day begins at 04:00 UTC', () => {
    expect(shareAt(slow(60), '2026-03-29T04:30:00Z', { zone: 'Europe/Rome' })).toBeCloseTo(0.5, 12);
  });
});

describe('a half shorter than the bands take', () => {
  test('a day of 30 min with 60 sends them half way, and back from there', () => {
    const short = { ...daysFrom('06:00', { nightStart: '06:30' }), rampMin: 60 };
    expect(shareAt(short, '2026-06-01T06:30:00Z')).toBeCloseTo(0.5, 12);
    expect(shareAt(short, '2026-06-01T07:00:00Z')).toBeCloseTo(0.25, 12);
    expect(shareAt(short, '2026-06-01T07:30:00Z')).toBe(0);
  });

  test('a lamp that burns for 6 min at night moves bands of 60 min by a tenth, not to those of day', () => {
    const litFromMs = at('2026-06-01T23:00:00Z');
    const minutes = Array.from({ length: 48 * 60 }, (_, k) => at('2026-05-31T12:00:00Z') + k * MINUTE_MS);
    const lit = (tMs: number) => tMs >= litFromMs && tMs < litFromMs + 6 * MINUTE_MS;
    const bright = (tMs: number) => new Date(tMs).getUTCHours() >= 6 && new Date(tMs).getUTCHours() < 20;
    const record = probeRecord({
      timesMs: minutes,
      values: minutes.map((tMs) => (lit(tMs) || bright(tMs) ? 100 : 0)),
    });
    const sky: Sky = { at: null, ppfd: () => segmentsOf(record, { maxGapMs: 5 * MINUTE_MS }) };
    const byLight = { ...slow(60), dayBy: { kind: 'light', ppfdUmolM2S: 50 } as const };
    // half of each minute in which the light comes and goes counts: 6 min
    expect(shareAt(byLight, '2026-06-01T23:05:31Z', { sky })).toBeCloseTo(0.1, 2);
    expect(shareAt(byLight, '2026-06-02T00:10:00Z', { sky })).toBe(0);
  });
});

test('how far bands have moved does not depend on the span in which it is asked, to the last bit', () => {
  const clockTime = fc
    .integer({ min: 0, max: 24 * 60 - 1 })
    .map((m) => `${String(Math.floor(m / 60)).padStart(2, '0')}:${String(m % 60).padStart(2, '0')}`);
  const targets = fc
    .tuple(clockTime, clockTime, fc.integer({ min: 1, max: 240 }))
    .filter(([dayStart, nightStart]) => dayStart !== nightStart)
    .map(([dayStart, nightStart, rampMin]) => ({ ...daysFrom(dayStart, { nightStart }), rampMin }));
  const zone = fc.constantFrom('UTC', 'Europe/Rome', 'Australia/Lord_Howe', 'America/Havana');
  const minute = fc.integer({ min: 0, max: 365 * 24 * 60 });
  fc.assert(
    fc.property(
      targets,
      zone,
      minute,
      fc.integer({ min: 1, max: 3_000 }),
      fc.nat(),
      (one, timeZone, start, length, where) => {
        const fromMs = Date.UTC(2026, 0, 1) + start * MINUTE_MS;
        const toMs = fromMs + length * MINUTE_MS;
        const atMs = fromMs + (where % length) * MINUTE_MS;
        const pieces = movingDayNight({ targets: one, fromMs, toMs, zone: timeZone, sky: null });
        expect([pieces[0]?.fromMs, pieces.at(-1)?.toMs]).toEqual([fromMs, toMs]);
        for (const [i, piece] of pieces.entries()) if (i > 0) expect(piece.fromMs).toBe(pieces[i - 1]?.toMs);
        const holding = pieces.find((piece) => piece.fromMs <= atMs && atMs < piece.toMs);
        const [alone] = movingDayNight({
          targets: one,
          fromMs: atMs,
          toMs: atMs + HOUR_MS,
          zone: timeZone,
          sky: null,
        });
        expect(holding && dayShareAt(holding, atMs)).toBe(alone && dayShareAt(alone, atMs));
        // and it never jumps, by more than a minute's part of the way
        const [before] = movingDayNight({
          targets: one,
          fromMs: atMs - MINUTE_MS,
          toMs: atMs,
          zone: timeZone,
          sky: null,
        });
        const step = Math.abs(
          dayShareAt(alone as MovingHalf, atMs) - dayShareAt(before as MovingHalf, atMs - MINUTE_MS),
        );
        expect(step).toBeLessThanOrEqual(1 / one.rampMin + 1e-9);
      },
    ),
    { numRuns: 300 },
  );
});
