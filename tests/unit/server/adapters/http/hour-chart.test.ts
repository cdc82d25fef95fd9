import { describe, expect, test } from 'vitest';
import { hourChart, hourTable } from '../../../../../server/adapters/http/answer/hour-chart.ts';
import { sentence } from '../../../../../server/adapters/http/answer/markup.ts';
import type { LastHour } from '../../../../../shared/wire/answer.ts';

const FROM_MS = Date.UTC(2026, 5, 1, 9, 12);
const MINUTE_MS = 60_000;
const t = (min: number) => new Date(FROM_MS + min * MINUTE_MS).toISOString();

function hourOf(
  values: readonly (readonly [min: number, value: number | null])[],
  given: Partial<LastHour> = {},
): LastHour {
  return {
    name: 'Air temperature',
    unit: '°C',
    decimals: 1,
    from: t(0),
    to: t(60),
    points: values.map(([min, value]) => ({ t: t(min), value })),
    limit: { value: 26.7, sense: 'above' },
    ...given,
  };
}

/** Texts of a class, and attributes of elements, by the markup itself. */
const texts = (svg: string, name: string) =>
  [...svg.matchAll(new RegExp(`<text class="${name}"[^>]*>([^<]*)<`, 'g'))].map(([, text]) => text);
const heights = (svg: string, name: string) =>
  [...svg.matchAll(new RegExp(`class="${name}" x1="[^"]*" x2="[^"]*" y1="([^"]*)"`, 'g'))].map(([, y]) =>
    Number(y),
  );

describe('the picture of the last hour', () => {
  const warm = hourOf([
    [0, 21],
    [20, 24],
    [40, null],
    [50, 23],
    [60, 29.9],
  ]);

  test('names its quantity and unit, its steps of 5 °C and its quarters of an hour by the wall clock', () => {
    // up to 10:00 UTC; Kolkata is 5 h 30 min ahead
    const svg = hourChart(warm, 'Asia/Kolkata');
    expect(texts(svg, 'axis-name')).toEqual(['Air temperature, °C']);
    expect(texts(svg, 'tick')).toEqual(['20', '25', '30', '14:45', '15:00', '15:15', '15:30']);
    expect(texts(svg, 'limit-name')).toEqual(['limit 26.7 °C']);
  });

  test('leaves a gap open: two lines, not one across it', () => {
    expect(hourChart(warm, 'UTC').match(/class="trace"/g)).toHaveLength(2);
  });

  test('draws the limit where its value lies between the steps of 25 and 30 °C', () => {
    const svg = hourChart(warm, 'UTC');
    const [at20 = 0, at25 = 0, at30 = 0] = heights(svg, 'grid');
    const [limit = 0] = heights(svg, 'limit');
    expect(at20).toBeGreaterThan(at25);
    // by hand: 1.7 of 5 K above 25 °C; places are given to a tenth of a unit
    expect(limit).toBeCloseTo(at25 + ((at30 - at25) * 1.7) / 5, 0);
  });

  test.each([
    ['above', 26.7],
    ['below', 22],
  ] as const)('hatches only what lies %s a limit of %d', (sense, value) => {
    const svg = hourChart({ ...warm, limit: { value, sense } }, 'UTC');
    const [, top = '', height = ''] =
      /<clipPath id="beyond"><rect x="40" y="([\d.]+)"[^>]*height="([\d.]+)"/.exec(svg) ?? [];
    const [limit = 0] = heights(svg, 'limit');
    const edges = [Number(top), Number(top) + Number(height)];
    expect(edges[sense === 'above' ? 1 : 0]).toBeCloseTo(limit, 1);
    expect(svg).toContain(`class="beyond ${sense}"`);
  });

  test('of one reading alone is a dot, without a limit has none, and flat readings fill no more than their 4 °C', () => {
    const svg = hourChart(hourOf([[30, 25]], { limit: null }), 'UTC');
    expect(svg.match(/<circle class="reading"/g)).toHaveLength(1);
    expect(svg).not.toContain('limit');
    expect(texts(svg, 'tick').slice(0, 5)).toEqual(['23', '24', '25', '26', '27']);
  });

  test('below zero has a minus sign, in kPa two decimals', () => {
    const cold = hourChart(
      hourOf(
        [
          [0, -3],
          [60, -1],
        ],
        { limit: null },
      ),
      'UTC',
    );
    expect(texts(cold, 'tick')).toContain('−3');
    const dry = { name: 'VPD', unit: 'kPa', decimals: 2, limit: { value: 0.5, sense: 'above' } } as const;
    const svg = hourChart(
      hourOf(
        [
          [0, 0.4],
          [60, 0.7],
        ],
        dry,
      ),
      'UTC',
    );
    expect(texts(svg, 'limit-name')).toEqual(['limit 0.50 kPa']);
    expect(texts(svg, 'tick').slice(0, 4)).toEqual(['0.4', '0.5', '0.6', '0.7']);
  });

  test('has its table: seven rows, ten minutes apart, a gap said as one', () => {
    const rows = [...hourTable(warm, 'UTC').matchAll(/<tr><td>([^<]*)<\/td><td>([^<]*)</g)].map(
      ([, time, value]) => `${time} ${value}`,
    );
    expect(rows).toHaveLength(7);
    expect(rows[0]).toBe('09:12 21.0 °C');
    expect(rows[4]).toBe('09:52 no readings');
    expect(rows[6]).toBe('10:12 29.9 °C');
  });
});

test('a sentence breaks no line between a number and its unit, and shows markup as text', () => {
  expect(sentence('<b>: air 29.9 °C for 4 min by e-mail')).toBe(
    '&#60;b&#62;: air <span class="whole">29.9 °C</span> for <span class="whole">4 min</span> by <span class="whole">e-mail</span>',
  );
});
