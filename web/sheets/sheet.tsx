import { useState } from 'preact/hooks';
import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import { addressOf, call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Problem } from '../common/password-field.tsx';
import { sheetHref } from '../frame/route.ts';
import { may } from '../settings/access.ts';
import { say } from '../state.ts';
import { SheetForm } from './sheet-form.tsx';
import { SheetTable } from './sheet-table.tsx';
import { cuttingWords, daysWords, standsWords, versionWords } from './sheet-words.ts';
import { lastDeleted } from './sheets.tsx';

/** One target sheet: its stages as a table, and what can be done with it. */
export function SheetPage({ sheetId }: { readonly sheetId: string }) {
  const { value, problem, loading, reload } = useLoaded(`sheet ${sheetId}`, () =>
    call('getSheet', { params: { id: sheetId } }),
  );
  return (
    <div class="plain-page sheets-page">
      <p>
        <a href="#/sheets">All target sheets</a>
      </p>
      {problem && (
        <p class="problem" role="status">
          The sheet cannot be shown: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading the sheet…</p>}
      {value && <Shown sheet={value} changed={reload} />}
    </div>
  );
}

type ShownProps = { readonly sheet: Sheet; readonly changed: () => void };

function Shown({ sheet, changed }: ShownProps) {
  const [editing, setEditing] = useState(false);
  const days = daysWords(sheet);
  return (
    <>
      <h1>{sheet.name}</h1>
      <p>
        {sheet.crop}; {cuttingWords(sheet)}; {standsWords(sheet)}; {versionWords(sheet)}.
        {days && ` It takes ${days}.`}
      </p>
      <Actions sheet={sheet} edit={() => setEditing(true)} />
      {editing && may('changeSheet') && (
        <SheetForm
          key={sheet.version}
          sheet={sheet}
          saved={() => {
            setEditing(false);
            changed();
          }}
          close={() => setEditing(false)}
        />
      )}
      <SheetTable key={sheet.version} sheet={sheet} />
    </>
  );
}

/** Copy, change, download, delete. */
function Actions({ sheet, edit }: { readonly sheet: Sheet; readonly edit: () => void }) {
  const order = useOrder();
  const { id, name, own } = sheet;
  const copy = () =>
    order.run(async () => {
      const { id: _id, version: _version, own: _own, ...content } = sheet;
      const made = await call('addSheet', { body: { ...content, name: `${name.slice(0, 70)}, own copy` } });
      say(`${made.name} made.`);
      location.hash = sheetHref(made.id);
    });
  const remove = () =>
    order.run(async () => {
      await call('deleteSheet', { params: { id } });
      lastDeleted.value = { id, name };
      location.hash = '#/sheets';
    });
  return (
    <>
      <span class="row">
        {own && (
          <IfMay route="changeSheet">
            <button type="button" disabled={order.busy} onClick={edit}>
              Change it…
            </button>
          </IfMay>
        )}
        <IfMay route="addSheet">
          <button type="button" disabled={order.busy} onClick={() => void copy()}>
            Make an own copy
          </button>
        </IfMay>
        <a href={addressOf('getSheet', { params: { id } })} download={`sheet-${id}.json`}>
          Download
        </a>
        {own && (
          <IfMay route="deleteSheet">
            <button type="button" disabled={order.busy} onClick={() => void remove()}>
              Delete
            </button>
          </IfMay>
        )}
      </span>
      <Problem words={order.problem} />
    </>
  );
}
