import { useId, useState } from 'preact/hooks';
import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';
import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { useLoaded, useOrder } from '../../common/hooks.ts';
import { Problem } from '../../common/password-field.tsx';
import { wallTime } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { known, nowMs, say, secondMs, timeZone } from '../../state.ts';
import { allSheets, batchesOf } from '../batch-api.ts';
import { HeldFields } from '../care/holding.tsx';
import { batchName } from '../words.ts';
import { cropsOf, newBatchOf, type StartValues, sheetsByFit } from './start-form.ts';

type Choices = { readonly sheets: readonly Sheet[]; readonly batches: readonly Batch[] };

async function choices(): Promise<Choices> {
  const [sheets, batches] = await Promise.all([allSheets(), batchesOf({})]);
  return { sheets, batches };
}

/** A new batch: crop, sheet, place and number; each has a default where one can be known. */
export function StartPage({ placeId }: { placeId: string | null }) {
  const { value, problem, loading } = useLoaded('start', choices);
  return (
    <div class="plain-page start-page">
      <h1>Start a batch</h1>
      {problem && (
        <p class="problem" role="status">
          The target sheets cannot be listed: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading target sheets…</p>}
      {known.value.places.length === 0 && (
        <p class="say">
          There is no place yet. <a href="#/">Connect a sensor first.</a>
        </p>
      )}
      {!may('addBatch') && <p class="say">Your account may look, but not start a batch.</p>}
      {value && known.value.places.length > 0 && may('addBatch') && (
        <StartForm choices={value} placeId={placeId} />
      )}
    </div>
  );
}

/** The value of the choice that opens a field for another crop. */
const ANOTHER = '…';

function firstValues({ sheets, batches }: Choices, placeId: string | null): StartValues {
  const { grown, others } = cropsOf(sheets, batches);
  const places = known.value.places;
  const place =
    places.find(({ id }) => id === placeId) ?? places.find(({ id }) => id === batches[0]?.placeId);
  const crop = grown[0] ?? others[0] ?? '';
  return {
    crop,
    sheetId: sheetsByFit(sheets, { crop, place: place ?? places[0] })[0]?.id ?? '',
    placeId: place?.id ?? places[0]?.id ?? '',
    stuckAt: wallTime({ atMs: nowMs.value, timeZone: timeZone.value }),
    count: '',
    cultivar: '',
    nodes: '',
    cutAt: '',
    cutHour: '',
    boxOpenedAt: '',
  };
}

/** The values of the form; crop and place choose the sheet until somebody does. */
function useStartValues(choices: Choices, placeId: string | null) {
  const [values, setValues] = useState(() => firstValues(choices, placeId));
  const [ownSheet, setOwnSheet] = useState(false);
  const places = known.value.places;
  const ordered = (crop: string, id: string) =>
    sheetsByFit(choices.sheets, { crop, place: places.find((one) => one.id === id) });
  const set = (change: Partial<StartValues>) =>
    setValues((before) => {
      const next = { ...before, ...change };
      const best = ordered(next.crop, next.placeId)[0]?.id ?? '';
      return ownSheet || 'sheetId' in change ? next : { ...next, sheetId: best };
    });
  return { values, set, ordered, keepSheet: () => setOwnSheet(true) };
}

function StartForm({ choices, placeId }: { choices: Choices; placeId: string | null }) {
  const { sheets, batches } = choices;
  const { values, set, ordered, keepSheet } = useStartValues(choices, placeId);
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const order = useOrder();
  const places = known.value.places;
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = newBatchOf(values, { nowMs: secondMs.value, timeZone: timeZone.value });
    setErrors(read.errors ?? {});
    const { body } = read;
    if (!body) return;
    await order.run(async () => {
      const batch = await call('addBatch', { body });
      say(`${batchName(batch)} started.`);
      location.hash = `#/batch/${batch.id}`;
    });
  };
  return (
    <form class="batch-form" data-testid="start-form" noValidate onSubmit={(event) => void submit(event)}>
      <CropField
        value={values.crop}
        crops={cropsOf(sheets, batches)}
        error={errors['crop']}
        onChange={(crop) => set({ crop })}
      />
      <ChoiceField
        name="place"
        label="place"
        value={values.placeId}
        choices={places.map(({ id, name }) => ({ value: id, words: name }))}
        onChange={(id) => set({ placeId: id })}
      />
      <ChoiceField
        name="sheet"
        label="target sheet"
        value={values.sheetId}
        choices={ordered(values.crop, values.placeId).map(({ id, name }) => ({ value: id, words: name }))}
        onChange={(sheetId) => {
          keepSheet();
          set({ sheetId });
        }}
      />
      <TextField
        name="count"
        label="how many"
        value={values.count}
        unit="cuttings"
        inputMode="numeric"
        error={errors['count']}
        onInput={(count) => set({ count })}
      />
      <Earlier values={values} errors={errors} set={set} />
      <MoreAboutCuttings values={values} errors={errors} set={set} />
      <FoldedFaults errors={errors} />
      <button type="submit" class="first" disabled={order.busy}>
        Start
      </button>
      <Problem words={order.problem} />
    </form>
  );
}

type EarlierProps = {
  readonly values: StartValues;
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (change: Partial<StartValues>) => void;
};

/** What is seldom needed. */
function Earlier({ values, errors, set }: EarlierProps) {
  return (
    <details>
      <summary>Stuck earlier, or a cultivar to note</summary>
      <TextField
        name="stuck"
        label="stuck"
        type="datetime-local"
        value={values.stuckAt}
        unit=""
        hint="The bands of its stage hold from then on."
        error={errors['stuckAt']}
        onInput={(stuckAt) => set({ stuckAt })}
      />
      <TextField
        name="cultivar"
        label="cultivar"
        value={values.cultivar}
        unit=""
        required={false}
        error={undefined}
        onInput={(cultivar) => set({ cultivar: cultivar.slice(0, 80) })}
      />
    </details>
  );
}

/** What may be noted of the cuttings themselves. */
function MoreAboutCuttings({ values, errors, set }: EarlierProps) {
  return (
    <details>
      <summary>More about these cuttings</summary>
      <TextField
        name="nodes"
        label="nodes of one cutting"
        value={values.nodes}
        unit=""
        inputMode="numeric"
        required={false}
        error={errors['nodes']}
        onInput={(nodes) => set({ nodes })}
      />
      <HeldFields values={values} errors={errors} set={set} />
    </details>
  );
}

const FOLDED = { stuckAt: 'Stuck', nodes: 'Nodes', cutAt: 'Cut', boxOpenedAt: 'Box opened' };

/** What is wrong in fields that may be folded away. */
function FoldedFaults({ errors }: Pick<EarlierProps, 'errors'>) {
  const faults = Object.entries(FOLDED).filter(([field]) => errors[field]);
  return (
    <>
      {faults.map(([field, name]) => (
        <p key={field} class="problem">
          {name}: {errors[field]}
        </p>
      ))}
    </>
  );
}

type CropProps = {
  readonly value: string;
  readonly crops: ReturnType<typeof cropsOf>;
  readonly error: string | undefined;
  readonly onChange: (crop: string) => void;
};

function CropField({ value, crops: { grown, others }, error, onChange }: CropProps) {
  const id = useId();
  const [another, setAnother] = useState(grown.length + others.length === 0);
  const choose = (chosen: string) => {
    setAnother(chosen === ANOTHER);
    onChange(chosen === ANOTHER ? '' : chosen);
  };
  const group = (label: string, crops: readonly string[]) =>
    crops.length > 0 && (
      <optgroup label={label}>
        {crops.map((crop) => (
          <option key={crop} value={crop}>
            {crop}
          </option>
        ))}
      </optgroup>
    );
  return (
    <>
      <div class="field">
        <label for={id}>crop</label>
        <span class="input">
          <select
            id={id}
            name="crop"
            value={another ? ANOTHER : value}
            onChange={(event) => choose(event.currentTarget.value)}
          >
            {group('grown before', grown)}
            {group('with a target sheet', others)}
            <option value={ANOTHER}>another…</option>
          </select>
        </span>
      </div>
      {another && (
        <TextField
          name="other-crop"
          label="its name"
          value={value}
          unit=""
          error={error}
          onInput={(crop) => onChange(crop.slice(0, 80))}
        />
      )}
    </>
  );
}
