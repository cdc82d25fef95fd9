type CsvField = string | number | null;

const MUST_BE_QUOTED = /[",\r\n]|^\s|\s$/;
const FORMULA = /^[=+\-@\t\r]/;
const GUARD = "'";

/**
 * One line of a CSV file, its line break included. Numbers are written so that reading them gives the same bits;
 * a missing value is an empty field. Texts are guarded, see `guarded`.
 * @source RFC 4180 section 2, rules 1, 4, 5, 6 and 7
 */
export function csvLine(fields: readonly CsvField[]): string {
  return `${fields.map(fieldText).join(',')}\r\n`;
}

function fieldText(field: CsvField): string {
  if (field === null) return '';
  if (typeof field === 'number') return String(field);
  const text = guarded(field);
  return MUST_BE_QUOTED.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/**
 * A text that a spreadsheet shows and does not run: what begins like a formula starts with an apostrophe. Quotes alone
 * would not do, a spreadsheet takes them off first. Names of places, notes and devices can begin so; probes cannot.
 * @returns the text, or the text after an apostrophe
 */
function guarded(text: string): string {
  return FORMULA.test(text) ? GUARD + text : text;
}

/** The text before it was guarded. */
export function unguarded(text: string): string {
  return text.startsWith(GUARD) && FORMULA.test(text.slice(1)) ? text.slice(1) : text;
}
