import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { targetSheetSchema } from '../../shared/model/targets.ts';

const url = new URL('../../seeds/targets/general-herbaceous-bottom-heat.json', import.meta.url);
const targetSheet = targetSheetSchema.parse(JSON.parse(readFileSync(url, 'utf8')));
const { targets, sources } = targetSheet;

/** °F to °C by the scale's definition. */
const exactC = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9;
/** The sheet is rounded to 0.1 °C, so to within 0.05 °C or 0.09 °F; the last part is for binary fractions. */
const ROUNDING_C = 0.05 + 1e-9;

/**
 * The bench rule: root zone 70 to 80 °F, air by day 70 to 80 °F and never above 80 °F, night about 60 °F.
 * Common practice, no source. It agrees with day air 21 to 27 °C and nights of about 15 °C in Hartmann, Kester,
 * Davies and Geneve, Plant Propagation: Principles and Practices, from memory.
 */
const RULE = [
  { limit: 'root zone by day, low', sheetC: targets.rootZone.day.lowC, ruleF: 70 },
  { limit: 'root zone by day, high', sheetC: targets.rootZone.day.highC, ruleF: 80 },
  { limit: 'root zone by night, low', sheetC: targets.rootZone.night.lowC, ruleF: 70 },
  { limit: 'root zone by night, high', sheetC: targets.rootZone.night.highC, ruleF: 80 },
  { limit: 'air by day, low', sheetC: targets.air.day.lowC, ruleF: 70 },
  { limit: 'air by day, high', sheetC: targets.air.day.highC, ruleF: 80 },
  { limit: 'air, never above', sheetC: targets.air.ceilingC, ruleF: 80 },
];

/** Paths of all limits and times of a sheet. */
function leaves(value: unknown, path: string): string[] {
  if (typeof value !== 'object' || value === null) return [path];
  return Object.entries(value).flatMap(([key, inner]) => leaves(inner, path === '' ? key : `${path}.${key}`));
}

describe('the sheet "general herbaceous, bottom heat" against the bench rule', () => {
  it('bears the id and name that a new place is given', () => {
    expect([targetSheet.id, targetSheet.name]).toEqual([
      'general-herbaceous-bottom-heat',
      'general herbaceous, bottom heat',
    ]);
  });

  it.each(RULE)('$limit: $sheetC °C is $ruleF °F within 0.09 °F', ({ sheetC, ruleF }) => {
    expect(Math.abs(sheetC - exactC(ruleF))).toBeLessThanOrEqual(ROUNDING_C);
  });

  it('holds 60 °F, 15.56 °C, inside the night band of the air', () => {
    expect(targets.air.night.lowC).toBeLessThan(exactC(60));
    expect(targets.air.night.highC).toBeGreaterThan(exactC(60));
  });

  it('is 5.56 K wide from 70 to 80 °F: a difference of 10 °F is not −12.2 °C', () => {
    // Widths carry the rounding of two limits.
    for (const band of [targets.rootZone.day, targets.rootZone.night, targets.air.day])
      expect(Math.abs(band.highC - band.lowC - 50 / 9)).toBeLessThanOrEqual(2 * ROUNDING_C);
  });

  it('says where each limit comes from, and calls the rule common practice without a source', () => {
    const paths = leaves(targets, '');
    const covers = (source: string, path: string): boolean =>
      path === source || path.startsWith(`${source}.`);
    expect(paths.filter((path) => !Object.keys(sources).some((source) => covers(source, path)))).toEqual([]);
    for (const path of ['rootZone.day', 'rootZone.night', 'air.day', 'air.night', 'air.ceilingC', 'vpd'])
      expect(sources[path]).toContain('common practice, no source');
  });
});
