import { describe, expect, test } from 'vitest';
import type { Excursion } from '../../../../../server/domain/harm/excursions.ts';
import {
  goesOnBefore,
  isWorthWatching,
  rememberedOf,
  type Seen,
} from '../../../../../server/domain/harm/remembered.ts';
import { rememberedFromMs, sheetReaders } from '../../../../../server/domain/people/morning-sheet.ts';

const HOUR_MS = 3_600_000;
const NOW_MS = Date.UTC(2026, 5, 4, 12);
const DAY_FROM_MS = NOW_MS - 24 * HOUR_MS;
const EARLIEST_MS = NOW_MS - 72 * HOUR_MS;

/** Air over its ceiling, from and to so many hours ago. */
function hot(fromH: number, toH: number, harm: number, more: Partial<Excursion> = {}): Excursion {
  const span = { fromMs: NOW_MS - fromH * HOUR_MS, toMs: NOW_MS - toH * HOUR_MS };
  return { kind: 'air-over-ceiling', ...span, goesOn: false, peak: 30, furthest: 3, dose: 3, harm, ...more };
}
const gap = (fromH: number, toH: number) => ({
  fromMs: NOW_MS - fromH * HOUR_MS,
  toMs: NOW_MS - toH * HOUR_MS,
});
const seen = (excursions: Excursion[], gaps: Seen['gaps'] = []): Seen => ({ excursions, gaps });

describe('what is remembered', () => {
  test('within a day is what ended since the sheet, whole where it was not over by then', () => {
    const [before, across, after] = [hot(10, 8, 0.2), hot(7, 4, 0.1), hot(2, 1, 0.1)];
    const day = seen([before, across, after], [gap(9, 8.5), gap(3, 2.5)]);
    const fromMs = NOW_MS - 5 * HOUR_MS;
    expect(rememberedOf({ day, dayFromMs: DAY_FROM_MS, longer: null, fromMs })).toEqual(
      seen([across, after], [gap(3, 2.5)]),
    );
  });

  test('of more than a day ago is what kept the place under watch by then, alone or together', () => {
    const alone = hot(60, 59, 0.06);
    const together = [hot(40, 39, 0.03), hot(30, 29, 0.03)];
    const small = hot(71, 70, 0.01);
    const today = hot(2, 1, 0.01);
    const longer = seen([small, alone, ...together, today], [gap(50, 49)]);
    const memory = { day: seen([today]), dayFromMs: DAY_FROM_MS, longer, fromMs: EARLIEST_MS };
    // the small one ended within 24 h of the one that was enough
    expect(rememberedOf(memory)).toEqual(seen([small, alone, ...together, today], [gap(50, 49)]));
    const daily = seen([hot(70, 69, 0.03), hot(45, 44, 0.03)]);
    expect(rememberedOf({ ...memory, longer: daily }).excursions).toEqual([today]);
  });

  test('a stretch that reaches back beyond a day is said once, and whole', () => {
    const whole = hot(30, 20, 0.5);
    const cut = { ...whole, fromMs: DAY_FROM_MS, harm: 0.2 };
    const other = hot(24, 22, 0.1, { kind: 'root-zone-over-ceiling' });
    const memory = {
      day: seen([cut, other], [gap(26, 23)]),
      dayFromMs: DAY_FROM_MS,
      longer: seen([whole], [gap(26, 23)]),
      fromMs: EARLIEST_MS,
    };
    expect(rememberedOf(memory)).toEqual(seen([whole, other], [gap(26, 23)]));
  });

  test('is looked up again while a stretch of more than a day goes on', () => {
    expect(goesOnBefore(seen([hot(30, 0, 0.5, { goesOn: true })]), DAY_FROM_MS)).toBe(true);
    expect(goesOnBefore(seen([hot(30, 20, 0.5), hot(3, 0, 0.1, { goesOn: true })]), DAY_FROM_MS)).toBe(false);
  });

  test('is worth watching from a harm of 0.05 on, or where nothing was read', () => {
    expect(isWorthWatching(seen([hot(3, 2, 0.03), hot(2, 1, 0.019)]))).toBe(false);
    expect(isWorthWatching(seen([hot(3, 2, 0.03), hot(2, 1, 0.02)]))).toBe(true);
    expect(isWorthWatching(seen([], [gap(2, 1)]))).toBe(true);
  });
});

describe('from when on', () => {
  test('since the newest sheet, at most 72 h, and 24 h where nobody gets one', () => {
    const at = (hasReaders: boolean, hoursAgo: number | null) =>
      (NOW_MS -
        rememberedFromMs({
          hasReaders,
          shownMs: hoursAgo === null ? null : NOW_MS - hoursAgo * HOUR_MS,
          nowMs: NOW_MS,
        })) /
      HOUR_MS;
    expect([at(true, 5), at(true, 48), at(true, 80), at(true, null)]).toEqual([5, 48, 72, 72]);
    expect([at(false, 5), at(false, null)]).toEqual([24, 24]);
    // written by a clock that was ahead
    expect(at(true, -3)).toBe(72);
  });

  test('a sheet has readers where somebody of the first step can be reached', () => {
    const method = { id: 1, kind: 'mail', address: 'robin@bench.example' } as const;
    const person = (id: number, ways: (typeof method)[]) => ({ id, name: 'Robin', quiet: null, ways });
    const ladder = (steps: { personId: number; afterMin: number }[]) => ({
      steps,
      repeatMin: 5,
      morningAt: '07:00',
    });
    const people = [person(1, []), person(2, [method]), person(3, [method])];
    const first = ladder([
      { personId: 1, afterMin: 0 },
      { personId: 3, afterMin: 0 },
      { personId: 2, afterMin: 10 },
    ]);
    expect(sheetReaders({ people, ladder: first }).map(({ id }) => id)).toEqual([3]);
    expect(sheetReaders({ people, ladder: ladder([{ personId: 1, afterMin: 0 }]) })).toEqual([]);
    expect(sheetReaders({ people, ladder: ladder([]) })).toEqual([]);
  });
});
