import { useState } from 'preact/hooks';
import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import { IfMay } from '../../common/if-may.tsx';
import { DETAIL_NAMES, type DetailName } from '../words.ts';
import type { PartProps } from './part.ts';

const NAMES = Object.keys(DETAIL_NAMES) as DetailName[];
type Values = Readonly<Record<DetailName, string>>;

function valuesOf(batch: Batch): Values {
  return Object.fromEntries(NAMES.map((name) => [name, batch[name] ?? ''])) as Values;
}

/** What was written down about a batch, and the form to change it. */
export function DetailsSection({ batch, edits }: PartProps) {
  const noted = NAMES.filter((name) => batch[name] !== null);
  return (
    <section data-testid="details">
      <h2>Notes</h2>
      {noted.length === 0 && batch.nodes === null && <p class="quiet">Nothing was written down.</p>}
      {(noted.length > 0 || batch.nodes !== null) && (
        <dl class="facts">
          {batch.nodes !== null && (
            <>
              <dt>nodes</dt>
              <dd>{batch.nodes}</dd>
            </>
          )}
          {noted.map((name) => (
            <>
              <dt key={`${name} name`}>{DETAIL_NAMES[name]}</dt>
              <dd key={name}>{batch[name]}</dd>
            </>
          ))}
        </dl>
      )}
      <IfMay route="changeBatch">
        <details>
          <summary>Change the notes</summary>
          <DetailsForm batch={batch} edits={edits} />
        </details>
      </IfMay>
    </section>
  );
}

function DetailsForm({ batch, edits }: PartProps) {
  const [values, setValues] = useState(() => valuesOf(batch));
  const [count, setCount] = useState(String(batch.count));
  const [nodes, setNodes] = useState(batch.nodes === null ? '' : String(batch.nodes));
  const submit = async (event: Event) => {
    event.preventDefault();
    const before = valuesOf(batch);
    const bodyOf = (from: Values) =>
      Object.fromEntries(NAMES.map((name) => [name, from[name].trim() || null])) as Record<
        DetailName,
        string | null
      >;
    const params = { id: batch.id };
    await edits.run(async () => {
      const body = {
        ...bodyOf(values),
        count: Number(count),
        nodes: nodes.trim() === '' ? null : Number(nodes),
      };
      await call('changeBatch', { params, body });
      return {
        words: 'Notes saved.',
        run: () =>
          call('changeBatch', {
            params,
            body: { ...bodyOf(before), count: batch.count, nodes: batch.nodes },
          }),
      };
    });
  };
  return (
    <form class="batch-form" noValidate onSubmit={(event) => void submit(event)}>
      <TextField
        name="batch-count"
        label="how many"
        value={count}
        unit="cuttings"
        inputMode="numeric"
        error={undefined}
        onInput={setCount}
      />
      <TextField
        name="nodes"
        label="nodes of one cutting"
        value={nodes}
        unit=""
        inputMode="numeric"
        required={false}
        error={undefined}
        onInput={setNodes}
      />
      {NAMES.map((name) => (
        <TextField
          key={name}
          name={name}
          label={DETAIL_NAMES[name]}
          value={values[name]}
          unit=""
          required={false}
          error={undefined}
          onInput={(typed) => setValues((before) => ({ ...before, [name]: typed }))}
        />
      ))}
      <button type="submit" class="first" disabled={edits.busy}>
        Save
      </button>
    </form>
  );
}
