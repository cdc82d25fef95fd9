import { expect, test } from 'vitest';
import { OpenHours } from '../../../../server/adapters/sqlite/readings/open-hours.ts';

test('the newest and the oldest reading of 200,000 hours that wait to be sealed are found', () => {
  const open = new OpenHours();
  for (let hour = 0; hour < 200_000; hour += 1) open.put({ probeId: 1, tMs: hour * 3_600_000, value: hour });
  expect(open.newest(1)).toEqual({ tMs: 199_999 * 3_600_000, value: 199_999 });
  expect(open.oldestMs(1)).toBe(0);
});
