import { expect, test } from 'vitest';
import type { Batch } from '../../../../shared/wire/cuttings/batches.ts';
import { notedOf } from '../../../../web/record/noted/noted.ts';
import { alarmOf } from '../examples.ts';

const T0 = Date.UTC(2026, 2, 1, 6);
const iso = (hours: number) => new Date(T0 + hours * 3_600_000).toISOString();
const VIEW = { fromMs: T0, toMs: T0 + 24 * 3_600_000 };
const AT = { timeZone: 'UTC', nowMs: T0 + 24 * 3_600_000 };
const NOTHING = { entries: [], alarms: [], batches: [], vents: [] };

const batch = {
  crop: 'geranium',
  cultivar: null,
  stays: [
    { n: 0, placeId: 'sill', from: iso(-48), to: iso(6) },
    { n: 1, placeId: 'bench', from: iso(6), to: null },
  ],
  stages: [
    { n: 0, stage: 'sticking', from: iso(-48), to: iso(2) },
    { n: 1, stage: 'callusing', from: iso(2), to: iso(8) },
    { n: 2, stage: 'rooting', from: iso(8), to: null },
  ],
} as unknown as Batch;

test('a stage is marked where the batch stood when it began, and only within the view', () => {
  const labels = (placeId: string) =>
    notedOf(placeId, { ...NOTHING, batches: [batch] }, { view: VIEW, at: AT }).map(({ words }) => words);
  expect(labels('sill')).toEqual(['Geranium: callusing begins']);
  expect(labels('bench')).toEqual(['Geranium: rooting begins']);
});

test('each raising of an alarm is marked, and vents that were recognised, not those that stand in the diary', () => {
  const alarm = alarmOf('sill', { rule: 'air-over-ceiling' });
  const event = (id: number, transition: 'raised' | 'returned', hours: number) => ({
    id,
    alarmId: alarm.id,
    transition,
    atMs: T0 + hours * 3_600_000,
    note: null,
  });
  const events = [
    event(3, 'raised', 9),
    event(2, 'returned', 5),
    event(1, 'raised', 4),
    event(0, 'raised', -4),
  ];
  const vent = { to: null, note: null, lowestPct: 60, humidityBack: true };
  const vents = [
    { ...vent, id: null, from: iso(6), how: 'recognised' as const },
    { ...vent, id: 7, from: iso(7), how: 'logged' as const },
  ];
  const noted = notedOf('sill', { ...NOTHING, alarms: [{ alarm, events }], vents }, { view: VIEW, at: AT });
  expect(noted.map(({ atMs, label }) => [(atMs - T0) / 3_600_000, label])).toEqual([
    [4, 'alarm: air over its ceiling'],
    [6, 'vent'],
    [9, 'alarm: air over its ceiling'],
  ]);
});
