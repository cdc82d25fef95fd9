import { EXPORT_FORMS, type ExportForm } from '../../../shared/wire/exchange.ts';

/** Other ends of names by which a form is known. */
const ENDINGS: Readonly<Record<string, ExportForm>> = { jsonl: 'ndjson', sensml: 'senml', json: 'senml' };

/**
 * The form that the name of a file says, packed or not.
 *
 * @param file its name
 * @returns null where its end says none
 */
export function formOf(file: string): ExportForm | null {
  const [, ending = ''] = /\.([a-z]+)$/i.exec(file.replace(/\.gz$/i, '')) ?? [];
  const word = ending.toLowerCase();
  return EXPORT_FORMS.find((form) => form === word) ?? ENDINGS[word] ?? null;
}
