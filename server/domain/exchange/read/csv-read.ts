export type CsvRow = { readonly line: number; readonly cells: readonly string[] };
export type CsvFault = { readonly line: number; readonly fault: string };
type CsvReader = {
  /** takes the next piece of the text, cut anywhere */
  push(text: string): (CsvRow | CsvFault)[];
  /** says that the text is over */
  end(): (CsvRow | CsvFault)[];
};

/** Longest row, characters: a quote that is never closed holds up no more than this. */
export const MAX_ROW_CHARS = 65_536;

/** What may stand between fields; the first named wins where a header has as many of one as of another. */
const DELIMITERS: readonly string[] = ['\t', ';', ','];

type Cut = { readonly delimiter: string; readonly isLast: boolean };
type CutRow = { readonly cells: string[]; readonly nextAt: number };
type Spoiled = { readonly fault: string };

/**
 * Reads CSV piece by piece in bounded memory. Rows end in CRLF or LF; quoted fields may hold delimiters, line breaks and
 * doubled quotes; a byte-order mark and empty lines are passed over; the delimiter is found in the first row. After a
 * row that cannot be read, reading goes on with the next line.
 * @returns rows, and faults, each with the number of the line it begins on, 1 the first
 * @source RFC 4180 section 2
 */
export function createCsvReader(): CsvReader {
  let rest = '';
  let line = 1;
  let delimiter: string | null = null;
  let isSkipping = false;

  const take = (isLast: boolean) => {
    const items: (CsvRow | CsvFault)[] = [];
    if (delimiter === null) {
      rest = rest.replace(/^\uFEFF/, '');
      delimiter = detectDelimiter(rest, isLast);
    }
    if (delimiter === null) return items;
    let at = 0;
    const goTo = (nextAt: number) => {
      line += breaksIn(rest, at, nextAt);
      at = nextAt;
    };
    while (at < rest.length) {
      const row = isSkipping ? null : readRow(rest, at, { delimiter, isLast });
      if (row && 'cells' in row) {
        if (!isEmpty(row.cells)) items.push({ line, cells: row.cells });
        goTo(row.nextAt);
        continue;
      }
      const isStuck = row === null && (isLast || rest.length - at > MAX_ROW_CHARS);
      if (!isSkipping && row === null && !isStuck) break;
      if (!isSkipping) items.push({ line, fault: row ? row.fault : UNENDING });
      const breakAt = rest.indexOf('\n', at);
      isSkipping = breakAt < 0;
      goTo(isSkipping ? rest.length : breakAt + 1);
    }
    rest = rest.slice(at);
    return items;
  };
  return {
    push(text) {
      rest += text;
      return take(false);
    },
    end: () => take(true),
  };
}

const UNENDING = `a quote is never closed, or the row has more than ${MAX_ROW_CHARS} characters`;

/** @returns the row, what is wrong with it, or null when more text is needed */
function readRow(text: string, at: number, cut: Cut): CutRow | Spoiled | null {
  const breakAt = text.indexOf('\n', at);
  if (breakAt < 0 && !cut.isLast) return null;
  const endAt = breakAt < 0 ? text.length : breakAt;
  if (endAt - at > MAX_ROW_CHARS) return { fault: UNENDING };
  const whole = text.slice(at, endAt);
  if (!whole.includes('"')) return { cells: withoutReturn(whole).split(cut.delimiter), nextAt: endAt + 1 };
  return readQuotedRow(text, at, cut);
}

/** A row with a quote in it somewhere: field by field. */
function readQuotedRow(text: string, at: number, cut: Cut): CutRow | Spoiled | null {
  const cells: string[] = [];
  for (let start = at; ; ) {
    const field = text[start] === '"' ? readQuoted(text, start, cut) : readPlain(text, start, cut);
    if (field === null || 'fault' in field) return field;
    cells.push(field.cell);
    if (text[field.endAt] !== cut.delimiter) return { cells, nextAt: field.endAt + 1 };
    start = field.endAt + 1;
  }
}

type Field = { readonly cell: string; readonly endAt: number };

/** @returns the field up to the delimiter or line feed at `endAt` */
function readPlain(text: string, start: number, { delimiter, isLast }: Cut): Field | null {
  const breakAt = text.indexOf('\n', start);
  if (breakAt < 0 && !isLast) return null;
  const rowEnd = breakAt < 0 ? text.length : breakAt;
  const delimiterAt = text.indexOf(delimiter, start);
  if (delimiterAt >= 0 && delimiterAt < rowEnd)
    return { cell: text.slice(start, delimiterAt), endAt: delimiterAt };
  return { cell: withoutReturn(text.slice(start, rowEnd)), endAt: rowEnd };
}

function readQuoted(text: string, start: number, { delimiter, isLast }: Cut): Field | Spoiled | null {
  const closeAt = closingQuote(text, start);
  if (closeAt < 0) return null;
  const after = text.slice(closeAt + 1, closeAt + 3);
  if (after.length < 2 && !isLast && after !== delimiter && after !== '\n') return null;
  const cell = text.slice(start + 1, closeAt).replaceAll('""', '"');
  if (after === '' || after[0] === delimiter || after[0] === '\n') return { cell, endAt: closeAt + 1 };
  if (after === '\r\n' || after === '\r') return { cell, endAt: closeAt + 2 };
  return { fault: 'there is text after a closing quote' };
}

/** @returns where the quote opened at `start` is closed, doubled quotes passed over; -1 when the text ends before */
function closingQuote(text: string, start: number): number {
  for (let at = start + 1; ; at += 2) {
    at = text.indexOf('"', at);
    if (at < 0 || text[at + 1] !== '"') return at;
  }
}

function withoutReturn(text: string): string {
  return text.endsWith('\r') ? text.slice(0, -1) : text;
}

function isEmpty(cells: readonly string[]): boolean {
  return cells.length === 1 && cells[0]?.trim() === '';
}

function breaksIn(text: string, fromAt: number, toAt: number): number {
  let count = 0;
  for (let at = text.indexOf('\n', fromAt); at >= 0 && at < toAt; at = text.indexOf('\n', at + 1)) count++;
  return count;
}

/** @returns what stands between the fields of the first row that is not empty; null when it is not whole yet */
function detectDelimiter(text: string, isLast: boolean): string | null {
  const counts = DELIMITERS.map(() => 0);
  let isQuoted = false;
  let canOpen: boolean = true;
  for (const char of text.replace(/^[\r\n]+/, '')) {
    if (char === '\n' && !isQuoted) return mostOf(counts);
    const at = isQuoted ? -1 : DELIMITERS.indexOf(char);
    if (at >= 0) counts[at] = (counts[at] ?? 0) + 1;
    const mayTurn: boolean = isQuoted || canOpen;
    if (char === '"' && mayTurn) isQuoted = !isQuoted;
    // a quote opens at the start of a field, and right after one that closed: then it was a doubled one
    canOpen = at >= 0 || (char === '"' && mayTurn && !isQuoted);
  }
  return isLast || text.length > MAX_ROW_CHARS ? mostOf(counts) : null;
}

function mostOf(counts: readonly number[]): string {
  const most = Math.max(...counts);
  return most === 0 ? ',' : (DELIMITERS[counts.indexOf(most)] ?? ',');
}
