import { useState } from 'preact/hooks';
import type { CuttingsImport } from '../../shared/wire/cuttings/import.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { type CuttingsFile, importWords, readCuttings, refusedWords } from './import-words.ts';

/** Batches and own sheets from the file that their export wrote: looked through first, then added. */
export function ImportBatches({ changed }: { readonly changed: () => void }) {
  const order = useOrder();
  const [file, setFile] = useState<CuttingsFile | null>(null);
  const [answer, setAnswer] = useState<CuttingsImport | null>(null);
  const send = (items: CuttingsFile, dryRun: boolean) =>
    order.run(async () => {
      const query = { dryRun: dryRun ? 'true' : 'false' } as const;
      setAnswer(await call('importCuttings', { query, body: { ...items } }));
    });
  const choose = async (chosen: File | undefined) => {
    setAnswer(null);
    setFile(null);
    if (!chosen) return;
    const text = await chosen.text();
    await order.run(async () => {
      const items = readCuttings(text);
      setFile(items);
      setAnswer(await call('importCuttings', { query: { dryRun: 'true' }, body: { ...items } }));
    });
  };
  const add = async () => {
    if (file === null || !(await send(file, false))) return;
    setFile(null);
    changed();
  };
  return (
    <details data-testid="import-batches">
      <summary>Import batches or sheets</summary>
      <p>The file that the export of batches (NDJSON) or of a sheet (JSON) wrote.</p>
      <label>
        File{' '}
        <input
          type="file"
          accept=".ndjson,.json"
          onChange={({ currentTarget }) => void choose(currentTarget.files?.[0])}
        />
      </label>
      <Problem words={order.problem} />
      {answer && <p role="status">{importWords(answer)}</p>}
      <ul>
        {answer && [...refusedWords(answer), ...answer.notes].map((words) => <li key={words}>{words}</li>)}
      </ul>
      {file !== null && answer?.dryRun && answer.batches + answer.sheets > 0 && (
        <button type="button" disabled={order.busy} onClick={() => void add()}>
          Add
        </button>
      )}
    </details>
  );
}
