import { stripOf } from '../../night/strip.ts';
import type { MorningSheet } from '../../wire/morning-sheet.ts';
import type { Night, NightRow } from '../../wire/places/night.ts';
import { heldOf, nightSentence } from '../night.ts';
import { leadWords } from '../night-lead.ts';
import { answeredWords, MARK_WORDS, markOf, nextStepWords } from '../night-row.ts';
import { clock, type Reader } from '../plain.ts';
import { plainWords } from './piece.ts';
import { nightAnswers } from './questions.ts';

/** Rows of a mail: more are on the page. */
const MOST_ROWS = 12;
/** An installation as small as this is shown whole, well or not. */
const FEW_PLACES = 4;

type Sheet = { readonly timeZone: string; readonly link: string | null };

/** The morning sheet of a night as it is mailed: the sentences of the page, in °C. */
export function morningSheetOf(night: Night, { timeZone, link }: Sheet): MorningSheet {
  const span = { fromMs: Date.parse(night.from), toMs: Date.parse(night.to) };
  const reader = { unit: 'C', timeZone, nowMs: span.toMs } as const;
  const marked = night.places.map((row) => ({
    row,
    name: row.name,
    mark: markOf(row),
    held: heldOf(row),
  }));
  const lead = leadWords(marked, true);
  const shown = marked.filter(({ mark }) => marked.length <= FEW_PLACES || mark !== 'fine');
  return {
    title: `The night to ${dayWords(span.toMs, timeZone)}`,
    fromWords: clock(span.fromMs, reader),
    toWords: clock(span.toMs, reader),
    urgent: lead.urgent,
    lead: lead.rest,
    link,
    rows: shown.slice(0, MOST_ROWS).map(({ row }) => rowOf(row, { span, reader })),
    answers: nightAnswers(night, reader).map(({ question, answers }) => ({
      question,
      sentences: answers.map(plainWords),
    })),
  };
}

type Reading = { readonly span: { readonly fromMs: number; readonly toMs: number }; readonly reader: Reader };

function rowOf(row: NightRow, { span, reader }: Reading): MorningSheet['rows'][number] {
  const { nights, holes, blocks } = stripOf(row, span);
  return {
    name: row.name,
    mark: MARK_WORDS[markOf(row)],
    sentence: nightSentence(row, span, reader),
    next: nextStepWords(row),
    who: answeredWords(row),
    strip: { nights: [...nights], holes: [...holes], blocks: [...blocks] },
  };
}

/** `Tuesday, 2 June 2026` */
function dayWords(atMs: number, timeZone: string): string {
  const parts = { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' } as const;
  return new Intl.DateTimeFormat('en-GB', { timeZone, ...parts }).format(atMs);
}
