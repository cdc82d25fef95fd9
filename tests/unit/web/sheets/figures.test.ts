import { describe, expect, test } from 'vitest';
import { shippedSheets } from '../../../../server/domain/sheets/shipped.ts';
import { type Sheet, stageOf } from '../../../../shared/model/cuttings/sheet.ts';
import {
  FIGURE_GROUPS,
  type Figure,
  figureText,
  sourceKey,
  sourceTexts,
} from '../../../../web/sheets/figures.ts';
import { cuttingWords, daysWords, sheetsFitting, standsWords } from '../../../../web/sheets/sheet-words.ts';

const sheetOf = (id: string) => shippedSheets().find((sheet) => sheet.id === id) as Sheet;
const poinsettia = sheetOf('poinsettia');
const geranium = sheetOf('geranium');
const figureOf = (group: string, label: string) =>
  FIGURE_GROUPS.find(({ name }) => name === group)?.figures.find(
    (figure) => figure.label === label,
  ) as Figure;
const NO_BREAK = '\u00a0';

describe('the table of a sheet', () => {
  test('has a row for every figure that any shipped sheet has, by the key of its source', () => {
    const shown = new Set(
      FIGURE_GROUPS.flatMap(({ figures }) =>
        figures.flatMap(({ paths }) => paths.map((path) => sourceKey({ id: 'rooting' }, path))),
      ),
    );
    for (const sheet of shippedSheets())
      for (const path of Object.keys(sheet.sources)) expect(shown).toContain(path.replace(/^\w+/, 'rooting'));
  });

  test('says a band of 26 to 28 °C as 26.0–28.0 °C, and as 78.8–82.4 °F', () => {
    const callusing = stageOf(poinsettia, 'callusing');
    const day = figureOf('root zone', 'day');
    expect(figureText(day, callusing, 'C')).toBe(`26.0–28.0${NO_BREAK}°C`);
    expect(figureText(day, callusing, 'F')).toBe(`78.8–82.4${NO_BREAK}°F`);
  });

  test('says what a stage does not state with a dash, days and kPa with their units, and clock times as they are', () => {
    const toning = stageOf(poinsettia, 'toning');
    expect(figureText(figureOf('leaf', 'mist by day every'), toning, 'C')).toBe('–');
    expect(figureText(figureOf('leaf', 'air VPD'), toning, 'C')).toBe(`0.60–1.20${NO_BREAK}kPa`);
    expect(figureText(figureOf('time', 'takes'), stageOf(poinsettia, 'callusing'), 'C')).toBe(
      `12–15${NO_BREAK}days`,
    );
    expect(figureText(figureOf('day and night', 'day starts'), toning, 'C')).toBe('06:00');
  });

  test('gives one source for a band that has one, and both where from and to differ', () => {
    const callusing = stageOf(geranium, 'callusing');
    expect(sourceTexts(figureOf('leaf', 'air VPD'), callusing, geranium.sources)).toEqual([
      'common practice, no source.',
    ]);
    const [from, to] = sourceTexts(figureOf('root zone', 'day'), callusing, geranium.sources);
    expect(from).toBe('From: default, adjust.');
    expect(to).toMatch(/^To: S5: Hansen/);
  });
});

describe('the words of a sheet', () => {
  test('name its cuttings, where it stands and how long it takes', () => {
    expect(cuttingWords(poinsettia)).toBe('soft green tips');
    expect(standsWords(poinsettia)).toBe('heated case or mist bench, with bottom heat');
    expect(standsWords(sheetOf('herbaceous-dome'))).toBe('bottle dome, without bottom heat');
    expect(daysWords(poinsettia)).toBe('26 to 43 days from sticking to toned');
    const [first, ...others] = poinsettia.stages;
    expect(daysWords({ stages: [{ ...(first as Sheet['stages'][number]), days: null }, ...others] })).toBe(
      null,
    );
  });

  test('find by name, crop or kind in any case; nothing typed finds all', () => {
    const sheets = shippedSheets();
    expect(sheetsFitting(sheets, ' HOLLY').map(({ id }) => id)).toEqual(['holly-english', 'holly-american']);
    expect(sheetsFitting(sheets, '')).toHaveLength(sheets.length);
    expect(sheetsFitting(sheets, 'no such crop')).toEqual([]);
  });
});
