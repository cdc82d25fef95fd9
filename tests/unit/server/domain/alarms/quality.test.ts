import { describe, expect, test } from 'vitest';
import { isChattering } from '../../../../../server/domain/alarms/nuisance/chatter.ts';
import { alarmQuality, type CountedEvent } from '../../../../../server/domain/alarms/quality.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const WEEK = { fromMs: 0, toMs: 7 * DAY_MS, nowMs: 7 * DAY_MS };

const event = (
  transition: CountedEvent['transition'],
  atMs: number,
  given: Partial<CountedEvent> = {},
): CountedEvent => ({
  alarmId: 'a',
  placeId: 'bench-1',
  priority: 'high',
  told: true,
  transition,
  atMs,
  ...given,
});

describe('a week', () => {
  test('of 2 high and 1 low alarms at one place is 3/7 a day, and 2 high a week are over the target of 1', () => {
    const events = [
      event('raised', 1 * HOUR_MS),
      event('acknowledged', 1 * HOUR_MS + 10 * MINUTE_MS),
      event('returned', 2 * HOUR_MS),
      event('raised', DAY_MS, { alarmId: 'b', priority: 'low' }),
      event('raised', 2 * DAY_MS),
      event('acknowledged', 2 * DAY_MS + 30 * MINUTE_MS),
      event('returned', 2 * DAY_MS + HOUR_MS),
    ];
    expect(alarmQuality(events, WEEK)).toMatchObject({
      told: 3,
      perDay: 3 / 7,
      byPriority: { high: 2, medium: 0, low: 1 },
      highPerWeekAtWorst: 2,
      medianAcknowledgeMin: 20,
      longestAcknowledgeMin: 30,
      unanswered: 1,
      meetsTargets: false,
      // the low one is active since the first day
      ...{ stale: 1, fleeting: 0, chattering: 0 },
    });
  });

  test('counts as high the one alarm of three that harm raised', () => {
    const raisings = [1, 2, 3].flatMap((day) => [
      event('raised', day * DAY_MS, { priority: 'medium' }),
      ...(day === 2 ? [event('priority-raised', day * DAY_MS + MINUTE_MS, { priority: 'medium' })] : []),
      event('returned', day * DAY_MS + HOUR_MS, { priority: 'medium' }),
    ]);
    expect(alarmQuality(raisings, WEEK)).toMatchObject({ byPriority: { high: 1, medium: 2, low: 0 } });
  });

  test('counts as high what harm raised before it was announced, and a raising nobody was told of not at all', () => {
    const medium = { priority: 'medium' } as const;
    const events = [
      event('raised', HOUR_MS, medium),
      event('returned', 2 * HOUR_MS, medium),
      event('raised', DAY_MS, { ...medium, told: false }),
      event('priority-raised', DAY_MS, medium),
      event('acknowledged', DAY_MS + HOUR_MS, medium),
      event('returned', DAY_MS + 2 * HOUR_MS, medium),
      event('raised', 2 * DAY_MS, { ...medium, told: false }),
      event('priority-raised', 2 * DAY_MS, medium),
      event('unsuppressed', 2 * DAY_MS + HOUR_MS, medium),
    ];
    expect(alarmQuality(events, WEEK)).toMatchObject({
      told: 2,
      byPriority: { high: 1, medium: 1, low: 0 },
      unanswered: 2,
    });
  });

  test('in which a suppressed alarm was raised 20 times was announced never, and meets the targets', () => {
    const events = Array.from({ length: 20 }, (_, k) => event('raised', k * HOUR_MS, { told: false }));
    expect(alarmQuality(events, WEEK)).toMatchObject({ told: 0, meetsTargets: true });
  });

  test('a suppressed alarm that is announced by itself after 1 h counts from then', () => {
    const events = [event('raised', HOUR_MS, { told: false }), event('unsuppressed', 2 * HOUR_MS)];
    expect(alarmQuality(events, WEEK)).toMatchObject({ told: 1, unanswered: 1 });
  });

  test('an alarm of 90 s is fleeting, unless it is back within 10 min', () => {
    const once = [event('raised', HOUR_MS), event('returned', HOUR_MS + 90_000)];
    expect(alarmQuality(once, WEEK).fleeting).toBe(1);
    const again = [event('raised', HOUR_MS + 8 * MINUTE_MS), event('returned', HOUR_MS + 20 * MINUTE_MS)];
    expect(alarmQuality([...once, ...again], WEEK).fleeting).toBe(0);
  });
});

test('3 times in 60 s or 6 in 5 min is chattering, 3 in 61 s and 5 in 5 min are not', () => {
  expect(isChattering([0, 30_000, 60_000])).toBe(true);
  expect(isChattering([0, 30_000, 61_000])).toBe(false);
  expect(isChattering([0, 60_000, 120_000, 180_000, 240_000, 300_000])).toBe(true);
  expect(isChattering([0, 75_000, 150_000, 225_000, 300_000])).toBe(false);
});
