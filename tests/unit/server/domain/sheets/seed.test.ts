import { describe, expect, test } from 'vitest';
import { expandSheet } from '../../../../../server/domain/sheets/seed.ts';
import { stageOf } from '../../../../../shared/model/cuttings/sheet.ts';
import type { SheetSeed, StartSeed } from '../../../../../shared/model/cuttings/sheet-seed.ts';

const PLAIN = 'default, adjust';
const bands = { day: { lowC: 20, highC: 25 }, night: { lowC: 18, highC: 24 } };
const START: StartSeed = {
  id: 'start',
  from: [],
  stages: {
    sticking: {
      dayStart: ['06:00', PLAIN],
      nightStart: ['20:00', PLAIN],
      rootZone: [bands, PLAIN],
      air: [{ ...bands, ceilingC: 27 }, PLAIN],
      vpd: [{ lowKpa: 0.1, highKpa: 0.5 }, 'BOOK'],
      'saturation.relativeHumidityPct': [97, PLAIN],
      'mist.everyMinByDay+everyMinByNight': [10, 'BOOK: every 10 min'],
      days: [{ low: 0, high: 1 }, PLAIN],
    },
    toning: { mist: null },
  },
};
const BOOK = { BOOK: { cite: 'A Book', seen: 'in part' as const } };
const starts = new Map([['start', START]]);
const seedOf = (stages: SheetSeed['stages'], from = ['start']): SheetSeed => ({
  id: 'mine',
  version: 1,
  name: 'Mine',
  crop: 'mine',
  cuttingType: 'herbaceous',
  placeKinds: ['bench'],
  bottomHeat: true,
  from,
  stages,
});
const expand = (stages: SheetSeed['stages'], from?: string[]) =>
  expandSheet(seedOf(stages, from), starts, BOOK);

describe('a sheet made of what its stages state', () => {
  test('has in each stage what the one before had, with its source, until another figure is stated', () => {
    const sheet = expand({ rooting: { 'rootZone.day+night.highC': [23, 'BOOK: no more than 23 °C'] } });
    const highs = sheet.stages.map(({ targets }) => targets.rootZone.night.highC);
    expect(highs).toEqual([24, 24, 23, 23]);
    expect(sheet.sources['callusing.rootZone.night.highC']).toBe(PLAIN);
    expect(sheet.sources['toning.rootZone.day.highC']).toBe(
      'BOOK: A Book (in part seen); no more than 23 °C',
    );
    expect(sheet.sources['toning.rootZone.day.lowC']).toBe(PLAIN);
  });

  test('loses with null what the stage before had, its sources too', () => {
    const sheet = expand({});
    expect(stageOf(sheet, 'rooting').targets.mist).toEqual({ everyMinByDay: 10, everyMinByNight: 10 });
    expect(stageOf(sheet, 'toning').targets.mist).toBe(undefined);
    expect(Object.keys(sheet.sources).filter((path) => path.startsWith('toning.mist'))).toEqual([]);
  });

  test('takes expected days of its own stage alone', () => {
    expect(
      expand({ rooting: { days: [{ low: 7, high: 14 }, PLAIN] } }).stages.map(({ days }) => days),
    ).toEqual([{ low: 0, high: 1 }, null, { low: 7, high: 14 }, null]);
  });

  test.each([
    ['a source that stands nowhere', () => expand({ rooting: { rampMin: [90, 'NOBOOK'] } })],
    ['a path that leads nowhere', () => expand({ rooting: { 'rootZone.noon': [20, PLAIN] } })],
    ['a band upside down', () => expand({ rooting: { 'rootZone.day.lowC': [26, PLAIN] } })],
    ['a start that is not there', () => expand({}, ['nowhere'])],
    [
      'starts in a circle',
      () => expandSheet(seedOf({}), new Map([['start', { ...START, from: ['start'] }]]), BOOK),
    ],
  ])('is refused for %s', (_, make) => {
    expect(make).toThrow();
  });
});
