import { expect, test } from 'vitest';
import { lightDays } from '../../../../../server/domain/exposures/light-days.ts';

const zone = 'Pacific/Auckland';
const [fromMs, toMs] = [Date.parse('2026-03-01T00:00:00+13:00'), Date.parse('2026-03-04T00:00:00+13:00')];
const days = ['2026-03-01', '2026-03-02', '2026-03-03'].map((date, i) => {
  return { date, dliMolM2: i + 1, coveredHours: i === 1 ? 0 : 24, photoperiodHours: 12 };
});

test('each local day is held against the targets of its own noon, 13 h east of Greenwich too', () => {
  const asked: string[] = [];
  const found = lightDays(days, {
    fromMs,
    toMs,
    zone,
    wantedAt(atMs) {
      asked.push(new Date(atMs).toISOString());
      return asked.length === 1 ? { dailyLowMol: 3, dailyHighMol: 5 } : undefined;
    },
  });
  expect(asked).toEqual(['2026-02-28T23:00:00.000Z', '2026-03-02T23:00:00.000Z']);
  expect(found).toEqual([
    {
      date: '2026-03-01',
      from: '2026-02-28T11:00:00.000Z',
      to: '2026-03-01T11:00:00.000Z',
      dliMolM2: 1,
      coveredHours: 24,
      wantedLowMolM2: 3,
      wantedHighMolM2: 5,
    },
    expect.objectContaining({ date: '2026-03-03', dliMolM2: 3, wantedLowMolM2: null }),
  ]);
});

test('of a span without length there is no day', () => {
  expect(lightDays(days, { fromMs, toMs: fromMs, zone, wantedAt: () => undefined })).toEqual([]);
});
