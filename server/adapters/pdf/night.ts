import { fullLayout, type Ribbon, reachPx, type Strip } from '../../../shared/night/strip.ts';
import type { MorningSheet } from '../../../shared/wire/morning-sheet.ts';
import { stepsOf } from '../../../shared/words/night-row.ts';
import type { NightPaper, NightPdf } from '../../ports.ts';
import { inWinAnsi } from './win-ansi.ts';

/** Points to the mm. */
const MM = 72 / 25.4;
const MARGIN = 12 * MM;
const BOX = 4 * MM;
const LINE = 20 * MM;
const [PLAIN, BOLD] = ['Helvetica', 'Helvetica-Bold'] as const;
const PAPERS: Readonly<Record<NightPaper, string>> = { a4: 'A4', letter: 'LETTER' };
const SIZES = { title: 15, head: 11, text: 9, small: 7.5 } as const;
const GREY = { night: '#e6e6e6', band: '#c4c4c4', leaf: '#777777' } as const;
const HATCH = 3;

type Document = PDFKit.PDFDocument;
type Row = MorningSheet['rows'][number];

/** The night on paper by a library that is loaded at the first one: black on white, with hatches. */
export function createNightPdf(): NightPdf {
  let loading: ReturnType<typeof load> | null = null;
  return async (sheet, { paper, madeAtMs }) => {
    loading ??= load();
    const { default: Pdf } = await loading;
    const info = { Title: inWinAnsi(sheet.title), Creator: 'Strikewell', CreationDate: new Date(madeAtMs) };
    const doc = new Pdf({ size: PAPERS[paper], margin: MARGIN, info, lang: 'en' });
    const chunks: Buffer[] = [];
    doc.on('data', (chunk: Buffer) => void chunks.push(chunk));
    const ended = new Promise<void>((resolve) => doc.on('end', resolve));
    draw(doc, sheet);
    doc.end();
    await ended;
    return Buffer.concat(chunks);
  };
}

function load() {
  return import('pdfkit');
}

function draw(doc: Document, sheet: MorningSheet): void {
  const width = doc.page.width - 2 * MARGIN;
  text(doc, sheet.title, { font: BOLD, size: SIZES.title, width });
  text(doc, `${sheet.fromWords} to ${sheet.toWords}`, { size: SIZES.text, width });
  doc.moveDown(0.4);
  if (sheet.urgent !== null) text(doc, sheet.urgent, { font: BOLD, size: SIZES.head, width });
  text(doc, sheet.lead, { size: SIZES.head, width });
  for (const row of sheet.rows) drawRow(doc, row, { sheet, width });
  doc.addPage();
  text(doc, 'Fifteen questions of a morning', { font: BOLD, size: SIZES.title, width });
  for (const [i, { question, sentences }] of sheet.answers.entries()) {
    const lines = [question, ...sentences].reduce(
      (sum, one) => sum + doc.font(PLAIN).fontSize(SIZES.text).heightOfString(inWinAnsi(one), { width }),
      0,
    );
    keepTogether(doc, lines + 6);
    doc.moveDown(0.35);
    text(doc, `${i + 1}. ${question}`, { font: BOLD, size: SIZES.text, width });
    for (const sentence of sentences) text(doc, sentence, { size: SIZES.text, width });
  }
  doc.moveDown();
  text(doc, 'Strikewell only monitors. It is not a safety device and switches nothing.', {
    size: SIZES.small,
    width,
  });
}

type TextStyle = { readonly font?: string; readonly size: number; readonly width: number };

function text(doc: Document, words: string, { font = PLAIN, size, width }: TextStyle): void {
  doc.font(font).fontSize(size).fillColor('#000000').text(inWinAnsi(words), MARGIN, doc.y, { width });
}

/** A new sheet where so much would not stand on this one. @param heightPt points */
function keepTogether(doc: Document, heightPt: number): void {
  if (doc.y + heightPt > doc.page.height - MARGIN) doc.addPage();
}

type OnSheet = { readonly sheet: MorningSheet; readonly width: number };

function drawRow(doc: Document, row: Row, { sheet, width }: OnSheet): void {
  const { heightPx } = fullLayout(row.strip.blocks);
  const steps = row.next === null ? [] : stepsOf(row.next);
  const said = doc.font(PLAIN).fontSize(SIZES.text).heightOfString(inWinAnsi(row.sentence), { width });
  keepTogether(doc, heightPx + said + steps.length * 5.5 * MM + 48);
  doc.moveDown(0.5);
  rule(doc, { x: MARGIN, y: doc.y, width });
  doc.y += 3;
  text(doc, row.mark === '' ? row.name : `${row.name}: ${row.mark}`, { font: BOLD, size: SIZES.head, width });
  drawStrip(doc, row.strip, width);
  const below = doc.y;
  text(doc, sheet.fromWords, { size: SIZES.small, width });
  doc.text(inWinAnsi(sheet.toWords), MARGIN, below, { width, align: 'right' });
  for (const step of steps) drawStep(doc, step, width);
  text(doc, row.sentence, { size: SIZES.text, width });
  if (row.who !== null) text(doc, row.who, { size: SIZES.small, width });
}

function rule(doc: Document, { x, y, width }: { x: number; y: number; width: number }): void {
  doc
    .moveTo(x, y)
    .lineTo(x + width, y)
    .lineWidth(0.7)
    .strokeColor('#000000')
    .stroke();
}

/** A box to tick, the step, and lines for the time and who did it. */
function drawStep(doc: Document, step: string, width: number): void {
  const y = doc.y + 1.5;
  const right = MARGIN + width;
  doc.rect(MARGIN, y, BOX, BOX).lineWidth(1).strokeColor('#000000').stroke();
  for (const [i, name] of ['time', 'initials'].entries()) {
    const x = right - (2 - i) * (LINE + 2 * MM) + 2 * MM;
    rule(doc, { x, y: y + BOX, width: LINE });
    doc
      .font(PLAIN)
      .fontSize(SIZES.small)
      .text(name, x, y + BOX - SIZES.small, { width: LINE, lineBreak: false });
  }
  const words = { width: width - BOX - 2 * (LINE + 2 * MM) - 3 * MM };
  doc
    .font(BOLD)
    .fontSize(SIZES.text)
    .text(inWinAnsi(step), MARGIN + BOX + 2 * MM, y + 1, words);
  doc.y = Math.max(doc.y, y + BOX) + 2;
}

function drawStrip(doc: Document, strip: Strip, width: number): void {
  const { ribbons, heightPx } = fullLayout(strip.blocks);
  const top = doc.y;
  const across = (percent: number) => MARGIN + (percent / 100) * width;
  for (const { from, width: share } of strip.nights)
    doc.rect(across(from), top, (share / 100) * width, heightPx).fill(GREY.night);
  for (const { lane, y, heightPx: thick } of ribbons)
    doc.rect(MARGIN, top + y, width, thick).fill(lane === 'leaf' ? GREY.leaf : GREY.band);
  for (const { from, width: share } of strip.holes) {
    doc.rect(across(from), top, (share / 100) * width, heightPx).fill('#ffffff');
    for (const x of [across(from), across(from + share)])
      doc
        .moveTo(x, top)
        .lineTo(x, top + heightPx)
        .dash(1.5, { space: 3 })
        .strokeColor('#000000')
        .stroke()
        .undash();
  }
  for (const block of strip.blocks) {
    const ribbon = ribbons.find(({ lane }) => lane === block.lane);
    if (ribbon) drawBlock(doc, block, { ribbon, top, across });
  }
  doc.y = top + heightPx + 2;
}

type Placed = { readonly ribbon: Ribbon; readonly top: number; readonly across: (percent: number) => number };

/** Rising hatch above, falling below: it is read without colour. */
function drawBlock(doc: Document, block: Strip['blocks'][number], { ribbon, top, across }: Placed): void {
  const reach = reachPx(block);
  const y = top + (block.side === 'above' ? ribbon.y - reach : ribbon.y + ribbon.heightPx);
  const x = across(block.from);
  const wide = Math.max(1, across(block.from + block.width) - x);
  doc.save();
  doc.rect(x, y, wide, reach).fill('#ffffff').rect(x, y, wide, reach).clip();
  doc.lineWidth(0.6).strokeColor('#000000');
  for (let at = x - reach; at < x + wide + reach; at += HATCH) {
    const [from, to] = block.side === 'above' ? [y + reach, y] : [y, y + reach];
    doc
      .moveTo(at, from)
      .lineTo(at + reach, to)
      .stroke();
  }
  doc.restore();
  doc.rect(x, y, wide, reach).lineWidth(0.6).strokeColor('#000000').stroke();
}
