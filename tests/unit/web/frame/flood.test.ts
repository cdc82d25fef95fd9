import { expect, test } from 'vitest';
import { alarmWords } from '../../../../shared/words/alarm.ts';
import { activeAlarms, isActiveAlarm } from '../../../../web/alarms/alarms.ts';
import { floodWords } from '../../../../web/frame/flood.ts';
import { alarmOf } from '../examples.ts';

const NOON_MS = Date.UTC(2026, 5, 1, 12);
const reader = { unit: 'C', timeZone: 'UTC', nowMs: NOON_MS } as const;

test('a flood of 12 alarms at four places says how many, which was first, how urgent and where', () => {
  const words = floodWords(
    {
      since: '2026-06-01T11:58:00Z',
      told: 12,
      byPriority: { high: 1, medium: 11, low: 0 },
      first: { alarmId: 'b.root-too-hot', placeName: 'Bench 2', rule: 'root-too-hot' },
      byPlace: [
        { placeName: 'Bench 2', told: 9 },
        { placeName: 'Dome', told: 1 },
        { placeName: 'Case', told: 1 },
        { placeName: 'Frame', told: 1 },
      ],
    },
    reader,
  );
  expect(words.headline).toBe('12 alarms in 10 minutes');
  expect(words.first).toBe('First was Bench 2: root zone too hot');
  expect(words.detail).toMatch(
    /^By priority: 1 high, 11 medium\. By place: Bench 2 9, Dome 1, Case 1, 1 other place\. .* since 11:58:/,
  );
});

test('an alarm that came 4 times since 11:50 is in the list though it is normal, and says so first', () => {
  const alarm = alarmOf('Dome', {
    state: 'normal',
    comesAndGoes: { sinceMs: NOON_MS - 600_000, times: 4 },
  });
  expect(isActiveAlarm(alarm)).toBe(true);
  expect(activeAlarms([alarm], NOON_MS)).toEqual([alarm]);
  expect(alarmWords(alarm, reader).headline).toBe(
    'Dome: air over its ceiling, 4 times since 11:50 (repeating).',
  );
});
