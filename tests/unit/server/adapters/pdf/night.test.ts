import { inflateSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { createNightPdf } from '../../../../../server/adapters/pdf/night.ts';
import { inWinAnsi } from '../../../../../server/adapters/pdf/win-ansi.ts';
import type { MorningSheet } from '../../../../../shared/wire/morning-sheet.ts';

const MADE_MS = Date.UTC(2026, 5, 2, 7);

const row = (name: string): MorningSheet['rows'][number] => ({
  name,
  mark: 'act now',
  sentence: 'Air has been 4.3 °C over its ceiling for 1 h 40 min from 05:20.',
  next: 'Shade it first, then open the cover.',
  who: 'no answer yet',
  strip: {
    nights: [{ from: 0, width: 90 }],
    holes: [{ from: 10, width: 5 }],
    blocks: [
      { from: 80, width: 20, lane: 'air', side: 'above', mean: 4 },
      { from: 30, width: 20, lane: 'rootZone', side: 'below', mean: 2 },
    ],
  },
});

const SHEET: MorningSheet = {
  title: 'The night to Tuesday, 2 June 2026',
  fromWords: '20:00 on Mon 1 Jun',
  toWords: '07:00',
  urgent: '1 place needs somebody now: Bench 18.',
  lead: 'The other 23 places stayed within their bands.',
  link: null,
  rows: Array.from({ length: 12 }, (_, i) => row(`Bench ${i + 1}`)),
  answers: Array.from({ length: 15 }, (_, i) => ({
    question: `Question ${i + 1}: how much light was there yesterday?`,
    sentences: ['Bench 3: Light yesterday: 5.2 mol m⁻² of 6 to 12 wanted; peak 640 µmol m⁻² s⁻¹ at 13:10.'],
  })),
};

/** Streams of a PDF unpacked, one after the other. */
function contentsOf(pdf: Buffer): string {
  const contents: string[] = [];
  for (let at = pdf.indexOf('stream\n'); at >= 0; at = pdf.indexOf('stream\n', at + 1)) {
    if (pdf.toString('latin1', at - 3, at) === 'end') continue;
    const end = pdf.indexOf('endstream', at);
    try {
      contents.push(inflateSync(pdf.subarray(at + 7, end)).toString('latin1'));
    } catch {
      // a stream that is no packed drawing
    }
  }
  return contents.join('\n');
}

/** The words of a PDF: `[<48> 0 <65>] TJ` says He. @source ISO 32000-2, 9.4.3 */
function wordsOf(contents: string): string {
  return [...contents.matchAll(/\[([^\]]*)\] TJ/g)]
    .map(([, shown = '']) =>
      [...shown.matchAll(/<([0-9a-f]*)>/gi)]
        .map(([, hex = '']) => Buffer.from(hex, 'hex').toString('latin1'))
        .join(''),
    )
    .join('\n');
}

test.each([
  ['a4', /MediaBox \[0 0 595\.28 841\.89\]/],
  ['letter', /MediaBox \[0 0 612 792\]/],
] as const)(
  'on %s the night stands with its sentences, its steps and the fifteen questions',
  async (paper, box) => {
    const pdf = Buffer.from(await createNightPdf()(SHEET, { paper, madeAtMs: MADE_MS }));
    const raw = pdf.toString('latin1');
    expect(raw.slice(0, 5)).toBe('%PDF-');
    expect(raw).toMatch(box);
    const pages = raw.match(/\/Type \/Page\b/g)?.length ?? 0;
    expect(pages).toBeGreaterThanOrEqual(2);
    expect(pages).toBeLessThanOrEqual(5);
    const contents = contentsOf(pdf);
    const words = wordsOf(contents);
    for (const wanted of ['Bench 12: act now', 'Shade it first', 'Open the cover', 'time', 'initials'])
      expect(words).toContain(wanted);
    expect(words).toContain('4.3 °C over its ceiling');
    expect(words.match(/Question \d+/g)).toHaveLength(15);
    expect(words).not.toContain('?\n?');
    // black, white and grey alone: red, green and blue of each colour are alike
    const colours = [...contents.matchAll(/([\d.]+) ([\d.]+) ([\d.]+) (?:scn|SCN|rg|RG)\b/g)];
    expect(colours.length).toBeGreaterThan(10);
    for (const [, red, green, blue] of colours) expect([green, blue]).toEqual([red, red]);
  },
);

test.each([
  ['−3.0 °C', '-3.0 °C'],
  ['mol m⁻² ‘Freedom’ – 5', 'mol m-² ‘Freedom’ – 5'],
  ['Łódź', '?ódz'],
  ['苗床 3', '?? 3'],
])('%s stands on paper as %s', (words, shown) => {
  expect(inWinAnsi(words)).toBe(shown);
});
