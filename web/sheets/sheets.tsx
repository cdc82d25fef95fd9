import { signal } from '@preact/signals';
import { useId, useState } from 'preact/hooks';
import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import { call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Problem } from '../common/password-field.tsx';
import { sheetHref } from '../frame/route.ts';
import { say } from '../state.ts';
import { sheetOfFile } from './sheet-form.ts';
import { cuttingWords, daysWords, sheetsFitting, standsWords, versionWords } from './sheet-words.ts';

/** The sheet that was deleted last on this page, until that is taken back or another page is opened. */
export const lastDeleted = signal<Pick<Sheet, 'id' | 'name'> | null>(null);

/** Every target sheet: what a crop wants, stage by stage. */
export function Sheets() {
  const { value, problem, loading, reload } = useLoaded('sheets', () => call('listSheets'));
  const [typed, setTyped] = useState('');
  const id = useId();
  const sheets = value?.sheets ?? [];
  const fitting = sheetsFitting(sheets, typed);
  return (
    <div class="plain-page sheets-page broad">
      <h1>Target sheets</h1>
      <p>
        What cuttings want from sticking to toning: bands, light and mist for each stage, and where each
        figure comes from. A shipped sheet stays as it is; a copy of it can be changed.
      </p>
      <Deleted changed={reload} />
      <IfMay route="addSheet">
        <Upload />
      </IfMay>
      {problem && (
        <p class="problem" role="status">
          The sheets cannot be listed: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading the sheets…</p>}
      {value && (
        <>
          <div class="field">
            <label for={id}>find</label>
            <span class="input">
              <input
                id={id}
                type="search"
                class="find"
                value={typed}
                placeholder="name, crop or kind"
                onInput={(event) => setTyped(event.currentTarget.value)}
              />
            </span>
          </div>
          <p class="quiet" role="status">
            {fitting.length === 1 ? '1 sheet' : `${fitting.length} sheets`}
          </p>
          <SheetList name="Own sheets" sheets={fitting.filter(({ own }) => own)} />
          <SheetList name="Shipped sheets" sheets={fitting.filter(({ own }) => !own)} />
        </>
      )}
    </div>
  );
}

function SheetList({ name, sheets }: { readonly name: string; readonly sheets: readonly Sheet[] }) {
  if (sheets.length === 0) return null;
  return (
    <section>
      <h2>{name}</h2>
      <ul class="sheets">
        {sheets.map((sheet) => {
          const days = daysWords(sheet);
          return (
            <li key={sheet.id}>
              <a href={sheetHref(sheet.id)}>{sheet.name}</a>{' '}
              <span class="quiet">
                {cuttingWords(sheet)}; {standsWords(sheet)}
                {days && `; ${days}`}
                {sheet.own && `; ${versionWords(sheet)}`}
              </span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

/** Takes the last deletion back. */
function Deleted({ changed }: { readonly changed: () => void }) {
  const order = useOrder();
  const deleted = lastDeleted.value;
  if (!deleted) return null;
  const { id, name } = deleted;
  const undo = async () => {
    if (!(await order.run(() => call('restoreSheet', { params: { id } })))) return;
    lastDeleted.value = null;
    say(`${name} is back.`);
    changed();
  };
  return (
    <div class="say">
      <span role="status">{name} deleted. </span>
      <button type="button" disabled={order.busy} onClick={() => void undo()}>
        Undo
      </button>
      <Problem words={order.problem} />
    </div>
  );
}

/** Makes an own sheet of a file. */
function Upload() {
  const order = useOrder();
  const id = useId();
  const upload = async (input: HTMLInputElement) => {
    const [file] = input.files ?? [];
    if (!file) return;
    await order.run(async () => {
      const body = sheetOfFile(await file.text());
      const sheet = await call('addSheet', { body });
      say(`${sheet.name} uploaded.`);
      location.hash = sheetHref(sheet.id);
    });
    input.value = '';
  };
  return (
    <div class="upload">
      <label for={id}>Upload a sheet (JSON, as a sheet is downloaded)</label>
      <input
        id={id}
        type="file"
        accept=".json,application/json"
        disabled={order.busy}
        onChange={(event) => void upload(event.currentTarget)}
      />
      <Problem words={order.problem} />
    </div>
  );
}
