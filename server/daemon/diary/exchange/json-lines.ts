import { Fault } from '../../../../shared/faults.ts';
import { MAX_ENTRY_LINE_CHARACTERS } from '../../../../shared/model/cuttings/entry-line.ts';
import { createLineReader } from '../../../domain/exchange/read/lines.ts';

/** An item of a file, not looked at yet, or why there is none at a line. */
export type FileItem = { readonly line: number } & ({ readonly item: unknown } | { readonly fault: string });

/** Longest file that is one JSON object over several lines, characters. */
const MAX_WHOLE_CHARACTERS = 4_194_304;

/** JSON objects, one a line, or lists of them; a file whose first line is none is one object over all its lines. */
export function createJsonLines() {
  const lines = createLineReader(MAX_ENTRY_LINE_CHARACTERS);
  let whole: string | null = null;
  let isFirst = true;
  const readLine = (line: number, text: string): FileItem[] => {
    const wasFirst = isFirst;
    isFirst = false;
    const items = whole === null ? itemsOf(text, line) : null;
    if (items !== null) return items;
    if (whole === null && !wasFirst) return [{ line, fault: 'it is no JSON object' }];
    whole = `${whole ?? ''}${text}\n`;
    if (whole.length <= MAX_WHOLE_CHARACTERS) return [];
    const message = 'The file is no export of cuttings: its first line is no JSON.';
    throw new Fault({ code: 'bad-request', message });
  };
  const read = (found: ReturnType<typeof lines.push>): FileItem[] =>
    found.flatMap((one) => ('text' in one ? readLine(one.line, one.text) : [one]));
  return {
    push: (text: string) => read(lines.push(text)),
    end(): FileItem[] {
      const last = read(lines.end());
      if (whole === null) return last;
      return (
        itemsOf(whole, 1) ?? [
          { line: 1, fault: 'the file is no JSON; of CSV exports the diary alone comes back' },
        ]
      );
    },
  };
}

/** @returns null for what is no JSON */
function itemsOf(text: string, line: number): FileItem[] | null {
  try {
    const item: unknown = JSON.parse(text);
    return (Array.isArray(item) ? item : [item]).map((each: unknown) => ({ line, item: each }));
  } catch {
    return null;
  }
}
