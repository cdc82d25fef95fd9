/** What an export of cuttings holds, a JSON object a line. */
type ExportedKind = 'batch' | 'preparation' | 'entry' | 'sheet';

/** What a line of an export is: a batch has stays, a plan its day of sticking, an entry its kind; all else is a sheet. */
export function exportedKind(item: unknown): ExportedKind {
  if (typeof item !== 'object' || item === null) return 'sheet';
  if ('stays' in item) return 'batch';
  if ('stickOn' in item) return 'preparation';
  return 'kind' in item && 'at' in item ? 'entry' : 'sheet';
}
