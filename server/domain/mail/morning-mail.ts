import type { MorningSheet } from '../../../shared/wire/morning-sheet.ts';

/** Pixels of the page that a strip is wide. */
export const STRIP_WIDTH_PX = 560;

type Mail = {
  /** what the message said without the night */
  readonly message: string;
  readonly foot: string;
  /** of the picture of a row, by its number from 0 */
  readonly pictureId: (row: number) => string;
};

type Row = MorningSheet['rows'][number];

/** The morning sheet as plain text. */
export function morningText(sheet: MorningSheet, { message, foot }: Pick<Mail, 'message' | 'foot'>): string {
  const rows = sheet.rows.map((row) =>
    [nameOf(row), row.sentence, nextOf(row), row.who].filter(isSaid).join('\n  '),
  );
  const answers = sheet.answers.map(({ question, sentences }, i) =>
    [`${i + 1}. ${question}`, ...sentences].join('\n   '),
  );
  const link = sheet.link === null ? [] : [`On the page: ${sheet.link}`];
  return [
    `${sheet.title}, ${sheet.fromWords} to ${sheet.toWords}`,
    [sheet.urgent, sheet.lead].filter(isSaid).join(' '),
    message,
    ...rows,
    'Fifteen questions of a morning',
    ...answers,
    ...link,
    foot,
  ]
    .filter(isSaid)
    .join('\n\n');
}

/** The morning sheet as HTML: plain tables and styles in place, as mail programs show them; its pictures are attached. */
export function morningHtml(sheet: MorningSheet, { message, foot, pictureId }: Mail): string {
  const paragraph = (words: string, style = '') => `<p style="margin:0 0 8px;${style}">${escaped(words)}</p>`;
  const urgent =
    sheet.urgent === null
      ? ''
      : paragraph(sheet.urgent, 'background:#000;color:#fff;padding:4px 8px;font-weight:bold;');
  const said =
    message === ''
      ? ''
      : message
          .split('\n')
          .map((line) => paragraph(line))
          .join('');
  const answers = sheet.answers.map(
    ({ question, sentences }) =>
      `<li style="margin:0 0 8px"><b>${escaped(question)}</b>${sentences.map((one) => `<br>${escaped(one)}`).join('')}</li>`,
  );
  const link =
    sheet.link === null ? '' : `<p><a href="${escaped(sheet.link)}">This night on the page</a></p>`;
  return [
    `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${escaped(sheet.title)}</title></head>`,
    '<body style="margin:0;padding:12px;background:#fff;color:#000;font:15px/1.4 sans-serif">',
    `<div style="max-width:${STRIP_WIDTH_PX}px">`,
    `<h1 style="font:bold 20px/1.2 serif;margin:0">${escaped(sheet.title)}</h1>`,
    paragraph(`${sheet.fromWords} to ${sheet.toWords}`, 'font-style:italic;'),
    urgent,
    paragraph(sheet.lead),
    said,
    sheet.rows.map((row, i) => rowHtml(row, pictureId(i), sheet)).join(''),
    `<h2 style="font:bold 16px/1.2 serif;margin:16px 0 8px">Fifteen questions of a morning</h2>`,
    `<ol style="margin:0;padding-left:24px">${answers.join('')}</ol>`,
    link,
    paragraph(foot, 'font-size:13px;border-top:1px solid #000;padding-top:8px;'),
    '</div></body></html>',
  ].join('\n');
}

function rowHtml(row: Row, id: string, { fromWords, toWords }: MorningSheet): string {
  const steps = nextOf(row);
  const lines = [
    `<h2 style="font:bold 16px/1.2 serif;margin:12px 0 2px;border-top:1px solid #000;padding-top:6px">${escaped(nameOf(row))}</h2>`,
    // the alternative text says what the picture shows
    `<img src="cid:${id}" width="${STRIP_WIDTH_PX}" style="display:block;width:100%;height:auto" alt="${escaped(`${row.name}: ${row.sentence}`)}">`,
    `<table role="presentation" width="100%" style="font-size:12px"><tr><td>${escaped(fromWords)}</td><td align="right">${escaped(toWords)}</td></tr></table>`,
    steps === null ? '' : `<p style="margin:2px 0"><b>${escaped(steps)}</b></p>`,
    `<p style="margin:2px 0">${escaped(row.sentence)}</p>`,
    row.who === null ? '' : `<p style="margin:2px 0;font-style:italic">${escaped(row.who)}</p>`,
  ];
  return lines.join('\n');
}

const isSaid = (words: string | null): words is string => words !== null && words !== '';
const nameOf = ({ name, mark }: Row): string => (mark === '' ? name : `${name}: ${mark}`);
const nextOf = ({ next }: Row): string | null => (next === null ? null : `Do next: ${next}`);

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text as it stands in HTML, in an attribute too. */
function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => ENTITIES[sign] ?? sign);
}
