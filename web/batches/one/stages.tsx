import { useState } from 'preact/hooks';
import type { StageId } from '../../../shared/model/cuttings/sheet.ts';
import type { StageView } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { IfMay } from '../../common/if-may.tsx';
import { instantOfWall, wallTime } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { nowMs, reader, secondMs, timeZone } from '../../state.ts';
import { endWords, moment, STAGE_NAMES, STAGE_ORDER } from '../words.ts';
import type { PartProps } from './part.ts';

/** The stages it went through, the next, and how one is entered or corrected. */
export function StagesSection({ batch, edits }: PartProps) {
  const next = STAGE_ORDER[STAGE_ORDER.indexOf(batch.stage) + 1];
  const enter = (stage: StageId, from: string) =>
    edits.run(async () => {
      const params = { id: batch.id };
      const { stages } = await call('addBatchStage', { params, body: { stage, from } });
      const n = stages.find((one) => one.stage === stage && Date.parse(one.from) === Date.parse(from))?.n;
      const words = `${STAGE_NAMES[stage].name} entered.`;
      if (n === undefined) return null;
      return { words, run: () => call('deleteBatchStage', { params: { ...params, n } }) };
    });
  return (
    <section data-testid="stages">
      <h2>Stages</h2>
      <StageTable batch={batch} edits={edits} />
      <IfMay route="addBatchStage">
        {batch.state === 'open' && next && (
          <button
            type="button"
            disabled={edits.busy}
            onClick={() => void enter(next, new Date(secondMs.value).toISOString())}
          >
            {STAGE_NAMES[next].name} begins now
          </button>
        )}
        <details>
          <summary>Enter a stage that began earlier</summary>
          <StageForm enter={enter} busy={edits.busy} stage={next ?? batch.stage} />
        </details>
      </IfMay>
    </section>
  );
}

function StageTable({ batch, edits }: PartProps) {
  const remove = ({ n, stage, from }: StageView) =>
    edits.run(async () => {
      const params = { id: batch.id };
      await call('deleteBatchStage', { params: { ...params, n } });
      return {
        words: `${STAGE_NAMES[stage].name} deleted.`,
        run: () => call('addBatchStage', { params, body: { stage, from } }),
      };
    });
  return (
    <table class="stacks">
      <thead>
        <tr>
          <th scope="col">stage</th>
          <th scope="col">from</th>
          <th scope="col">to</th>
          <td />
        </tr>
      </thead>
      <tbody>
        {batch.stages.map((stage, index) => (
          <tr key={stage.n}>
            <th scope="row">
              {STAGE_NAMES[stage.stage].name} <span class="quiet">{STAGE_NAMES[stage.stage].until}</span>
            </th>
            <td data-label="from">{moment(stage.from, reader.value)}</td>
            <td data-label="to">{endWords(stage, batch, reader.value)}</td>
            <td>
              {index > 0 && may('deleteBatchStage') && (
                <button
                  type="button"
                  disabled={edits.busy}
                  aria-label={`Delete the stage ${STAGE_NAMES[stage.stage].name}`}
                  onClick={() => void remove(stage)}
                >
                  Delete
                </button>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

type FormProps = {
  readonly enter: (stage: StageId, from: string) => Promise<boolean>;
  readonly busy: boolean;
  readonly stage: StageId;
};

function StageForm({ enter, busy, stage: first }: FormProps) {
  const [stage, setStage] = useState<StageId>(first);
  const [from, setFrom] = useState(() => wallTime({ atMs: nowMs.value, timeZone: timeZone.value }));
  const [error, setError] = useState<string | undefined>(undefined);
  const submit = async (event: Event) => {
    event.preventDefault();
    const atMs = instantOfWall({ wall: from, timeZone: timeZone.value });
    if (atMs === null) return setError('when did it begin?');
    if (atMs > secondMs.value) return setError('that is still to come');
    setError(undefined);
    await enter(stage, new Date(atMs).toISOString());
  };
  return (
    <form class="batch-form" noValidate onSubmit={(event) => void submit(event)}>
      <ChoiceField
        name="stage"
        label="stage"
        value={stage}
        choices={STAGE_ORDER.map((id) => ({ value: id, words: STAGE_NAMES[id].name }))}
        onChange={(chosen) => setStage(STAGE_ORDER.find((id) => id === chosen) ?? first)}
      />
      <TextField
        name="stage-from"
        label="began"
        type="datetime-local"
        value={from}
        unit=""
        hint="The bands of the place follow from then on while the batch leads."
        error={error}
        onInput={setFrom}
      />
      <button type="submit" class="first" disabled={busy}>
        Save
      </button>
    </form>
  );
}
