import { expect, test } from 'vitest';
import { instantOfWall, wallTime } from '../../../../web/common/time.ts';
import { type VentValues, ventOf } from '../../../../web/record/vent-form.ts';
import { NOW_MS } from '../examples.ts';

const AT = { nowMs: NOW_MS, timeZone: 'Europe/Berlin' };
const NOW: VentValues = { when: 'now', from: '', to: '', note: '' };
const SPAN: VentValues = {
  when: 'span',
  from: '2026-03-05T09:00',
  to: '2026-03-05T10:30',
  note: ' dry off ',
};

// Berlin is UTC+1 in winter, +2 in summer; in 2026 its clock goes from 02:00 to 03:00 on 29 March and from 03:00 back to
// 02:00 on 25 October. Kolkata is UTC+5:30. The public time-zone database, recalled.
test.each([
  ['2026-03-05T09:00', 'Europe/Berlin', '2026-03-05T08:00Z'],
  ['2026-07-05T09:00', 'Europe/Berlin', '2026-07-05T07:00Z'],
  ['2026-03-29T01:59', 'Europe/Berlin', '2026-03-29T00:59Z'],
  ['2026-03-29T02:30', 'Europe/Berlin', '2026-03-29T01:30Z'],
  ['2026-03-29T03:00', 'Europe/Berlin', '2026-03-29T01:00Z'],
  ['2026-10-25T02:30', 'Europe/Berlin', '2026-10-25T00:30Z'],
  ['2026-10-25T03:00', 'Europe/Berlin', '2026-10-25T02:00Z'],
  ['2026-03-05T00:15', 'Asia/Kolkata', '2026-03-04T18:45Z'],
])('%s on a clock in %s is %s', (wall, timeZone, instant) => {
  expect(instantOfWall({ wall, timeZone })).toBe(Date.parse(instant));
});

test('08:45 UTC stands on a clock in Kolkata as 14:15 of the day, as an input takes it; an empty input is no time', () => {
  expect(wallTime({ atMs: Date.parse('2026-03-05T08:45Z'), timeZone: 'Asia/Kolkata' })).toBe(
    '2026-03-05T14:15',
  );
  expect(instantOfWall({ wall: '', timeZone: 'UTC' })).toBeNull();
});

test('a cover opened now is logged from now, without an end and without an empty note', () => {
  expect(ventOf(NOW, AT).body).toEqual({ from: '2026-03-05T14:06:00.000Z', to: null, note: null });
});

test('09:00 to 10:30 in Berlin in winter is 08:00 to 09:30 UTC, and the note is trimmed', () => {
  expect(ventOf(SPAN, AT).body).toEqual({
    from: '2026-03-05T08:00:00.000Z',
    to: '2026-03-05T09:30:00.000Z',
    note: 'dry off',
  });
  expect(ventOf({ ...SPAN, to: '' }, AT).body?.to).toBeNull();
});

test.each([
  ['no opening', { from: '' }, 'from'],
  ['an opening that is still to come', { from: '2026-03-05T15:07' }, 'from'],
  ['an end before the opening', { to: '2026-03-05T08:59' }, 'to'],
  ['an end that is still to come', { to: '2026-03-05T15:07' }, 'to'],
])('%s is said beside its field', (_, change, field) => {
  expect(Object.keys(ventOf({ ...SPAN, ...change }, AT).errors ?? {})).toEqual([field]);
});
