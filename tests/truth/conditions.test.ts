import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { DISEASE_WETNESS, type WetnessCondition } from '../../shared/climate/wet-hours.ts';

// [SIRJUSINGH96]: 6 h at 15 °C, 4 h at 21 °C, 6 h at 25 and 30 °C on leaves.
test('geranium leaves need 6, 4, 6 and 6 h at 15, 21, 25 and 30 °C', () => {
  const { hoursNeeded } = DISEASE_WETNESS['botrytis-geranium-leaves'];
  expect(hoursNeeded.map(({ temperatureC, hours }) => [temperatureC, hours])).toEqual([
    [15, 6],
    [21, 4],
    [25, 6],
    [30, 6],
  ]);
});

test.each(Object.entries<WetnessCondition>(DISEASE_WETNESS))(
  '%s names a listed source, its mark, and hours inside its temperatures',
  (_, one) => {
    const bibliography = readFileSync(new URL('../../shared/sources.md', import.meta.url), 'utf8');
    expect(bibliography).toContain(`- ${one.source} `);
    expect(one.mark).toMatch(/seen|unattributed/);
    expect(one.temperatureLowC).toBeLessThan(one.temperatureHighC);
    for (const { temperatureC } of one.hoursNeeded) {
      expect(temperatureC).toBeGreaterThanOrEqual(one.temperatureLowC);
      expect(temperatureC).toBeLessThanOrEqual(one.temperatureHighC);
    }
  },
);
