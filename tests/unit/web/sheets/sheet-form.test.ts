import { expect, test } from 'vitest';
import { shippedSheets } from '../../../../server/domain/sheets/shipped.ts';
import { newSheetSchema, OWN_FIGURE, type Sheet } from '../../../../shared/model/cuttings/sheet.ts';
import { bodyOf, fieldErrors, formOf, sheetOfFile } from '../../../../web/sheets/sheet-form.ts';

const poinsettia = shippedSheets().find(({ id }) => id === 'poinsettia') as Sheet;
const { id: _id, version: _version, own: _own, ...content } = poinsettia;
const changed = (values: Record<string, string>) =>
  newSheetSchema.parse(bodyOf({ ...formOf(poinsettia), ...values }, poinsettia));

test.each(shippedSheets().map((sheet) => [sheet.id, sheet] as const))(
  'the form of %s, as it is, saves it as it was',
  (_, { id: _i, version: _v, own: _o, ...kept }) => {
    const sheet = { id: 'own-1', version: 1, own: true, ...kept };
    expect(newSheetSchema.parse(bodyOf(formOf(sheet), sheet))).toEqual(kept);
  },
);

test('a figure that was changed to 29,5 has the source that was typed, and an own one without; the others keep theirs', () => {
  const field = 'stages.1.targets.rootZone.day.highC';
  const sourced = changed({ [field]: '29,5', source: 'our trial of 2025' });
  expect(sourced.stages[1]?.targets.rootZone.day).toEqual({ lowC: 26, highC: 29.5 });
  expect(sourced.sources['callusing.rootZone.day.highC']).toBe('our trial of 2025');
  expect({ ...sourced.sources, 'callusing.rootZone.day.highC': '' }).toEqual({
    ...content.sources,
    'callusing.rootZone.day.highC': '',
  });
  expect(changed({ [field]: '29.5' }).sources['callusing.rootZone.day.highC']).toBe(OWN_FIGURE);
});

test('an optional figure that is emptied is not stated any more, and one that is typed in is', () => {
  const stage = 'stages.0.targets';
  const without = changed({
    [`${stage}.mist.everyMinByDay`]: '',
    [`${stage}.mist.everyMinByNight`]: '',
    'stages.0.days.low': '',
    'stages.0.days.high': ' ',
    'stages.3.targets.mist.everyMinByDay': '45',
  });
  expect(without.stages[0]?.targets.mist).toBe(undefined);
  expect(without.stages[0]?.days).toBe(null);
  expect(Object.keys(without.sources).filter((path) => /sticking\.(mist|days)/.test(path))).toEqual([]);
  expect(without.stages[3]?.targets.mist).toEqual({ everyMinByDay: 45 });
  expect(without.sources['toning.mist.everyMinByDay']).toBe(OWN_FIGURE);
});

test('what was typed and is no number goes to the daemon as it is, and its objection stands at the field', () => {
  const field = 'stages.0.targets.air.ceilingC';
  const read = newSheetSchema.safeParse(bodyOf({ ...formOf(poinsettia), [field]: 'hot' }, poinsettia));
  expect(read.error?.issues.map(({ path }) => path.join('.'))).toEqual([field]);
  expect(fieldErrors({ [field]: 'no number' }, 4)).toEqual({ [field]: 'no number' });
  // about a whole band: at its first field
  expect(fieldErrors({ 'stages.2.targets.vpd': 'upside down' }, 4)).toEqual({
    'stages.2.targets.vpd.lowKpa': 'upside down',
  });
});

test('a file that is no JSON is turned down in words, and a sheet is read as it is', () => {
  expect(() => sheetOfFile('a sheet')).toThrow(/no JSON/);
  expect(sheetOfFile(JSON.stringify(poinsettia))).toEqual(poinsettia);
});
