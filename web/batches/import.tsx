import { useState } from 'preact/hooks';
import type { CuttingsFileImport } from '../../shared/wire/cuttings/import.ts';
import { addressOf, upload } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Problem } from '../common/password-field.tsx';
import { hasAny, importWords, refusedWords } from './import-words.ts';

/** All own sheets, batches, plans and the diary in one file, and back from it. */
export function ExchangeBatches({ changed }: { readonly changed: () => void }) {
  const link = (
    words: string,
    query: {
      readonly what?: 'batches' | 'preparations' | 'diary';
      readonly as?: 'csv';
      readonly photos?: 'true';
    },
  ) => (
    <li>
      <a href={addressOf('exportCuttings', { query })} download="">
        {words}
      </a>
    </li>
  );
  return (
    <details data-testid="exchange-batches">
      <summary>Export and import</summary>
      <h3>Export</h3>
      <ul>
        {link('everything, photos too (NDJSON, can be imported again)', { photos: 'true' })}
        {link('everything without photos (NDJSON, can be imported again)', {})}
        {link('batches (CSV, for a spreadsheet; the newest count of each)', { what: 'batches', as: 'csv' })}
        {link('plans (CSV, for a spreadsheet)', { what: 'preparations', as: 'csv' })}
        {link('diary (CSV, can be imported again; without photos)', { what: 'diary', as: 'csv' })}
      </ul>
      <IfMay route="importCuttingsFile">
        <ImportFile changed={changed} />
      </IfMay>
    </details>
  );
}

/** A file that an export wrote: looked through first, then added. */
function ImportFile({ changed }: { readonly changed: () => void }) {
  const order = useOrder();
  const [file, setFile] = useState<File | null>(null);
  const [answer, setAnswer] = useState<CuttingsFileImport | null>(null);
  const send = (from: File, dryRun: boolean) =>
    order.run(async () => {
      const as = /\.csv$/i.test(from.name) ? 'csv' : 'ndjson';
      const query = { dryRun: dryRun ? 'true' : 'false', as } as const;
      setAnswer(await upload('importCuttingsFile', { query }, from));
    });
  const choose = async (chosen: File | undefined) => {
    setAnswer(null);
    setFile(chosen ?? null);
    if (chosen) await send(chosen, true);
  };
  const add = async () => {
    if (file === null || !(await send(file, false))) return;
    setFile(null);
    changed();
  };
  return (
    <>
      <h3>Import</h3>
      <p>
        A file that an export of batches, plans, sheets or the diary wrote. It is looked through first;
        nothing is added before you say so.
      </p>
      <label>
        File{' '}
        <input
          type="file"
          accept=".ndjson,.json,.csv"
          onChange={({ currentTarget }) => void choose(currentTarget.files?.[0])}
        />
      </label>
      {order.busy && <p class="waiting">Reading the file…</p>}
      <Problem words={order.problem} />
      {answer && <p role="status">{importWords(answer)}</p>}
      <ul>
        {answer && [...refusedWords(answer), ...answer.notes].map((words) => <li key={words}>{words}</li>)}
      </ul>
      {file !== null && answer?.dryRun && hasAny(answer) && (
        <button type="button" disabled={order.busy} onClick={() => void add()}>
          Add
        </button>
      )}
    </>
  );
}
