import type { Preparation, PreparationStep } from '../../../shared/wire/cuttings/preparations.ts';
import { call } from '../../api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { IfMay } from '../../common/if-may.tsx';
import { wallTime } from '../../common/time.ts';
import { batchHref } from '../../frame/route.ts';
import { may } from '../../settings/access.ts';
import { known, nowMs, say, timeZone } from '../../state.ts';
import { allSheets } from '../batch-api.ts';
import { type Edits, UndoLine, useEdits } from '../undo.tsx';
import { batchName, cuttings } from '../words.ts';
import { bodyOf } from './plan-form.ts';
import { PlanForm } from './plan-form.tsx';
import {
  beforeWords,
  leftWords,
  mediumWords,
  missingWords,
  PLAN_NAMES,
  type PlanName,
  sourceWords,
  stepWords,
} from './plan-words.ts';

async function choices() {
  const [{ steps }, sheets] = await Promise.all([call('listPreparationSteps'), allSheets()]);
  return { steps, sheets };
}

/** Today by the clock of the installation. */
export function today(): string {
  return wallTime({ atMs: nowMs.value, timeZone: timeZone.value }).slice(0, 10);
}

/** A batch that is planned, or the form for a new one. */
export function PlanPage({ planId }: { planId: string | null }) {
  return (
    <div class="plain-page batch-page">{planId === null ? <NewPlan /> : <OnePlan planId={planId} />}</div>
  );
}

function NewPlan() {
  const { value, problem } = useLoaded('plan choices', choices);
  const edits = useEdits(() => undefined);
  return (
    <>
      <h1>Plan a batch</h1>
      {(problem ?? edits.problem) && (
        <p class="problem" role="status">
          {problem ?? edits.problem}
        </p>
      )}
      {!may('addPreparation') && <p class="say">Your account may look, but not plan a batch.</p>}
      {value && may('addPreparation') && (
        <PlanForm
          plan={null}
          {...value}
          busy={edits.busy}
          save={(body) =>
            edits.run(async () => {
              const { id, crop } = await call('addPreparation', { body });
              say(`${crop} planned.`);
              location.hash = `#/plan/${id}`;
              return null;
            })
          }
        />
      )}
    </>
  );
}

function OnePlan({ planId }: { planId: string }) {
  const { value, problem, loading, reload } = useLoaded(`plan ${planId} ${today()}`, () =>
    call('getPreparation', { params: { id: planId } }),
  );
  const edits = useEdits(reload);
  return (
    <>
      {!value && <h1 class="unseen">Plan</h1>}
      {problem && (
        <p class="problem" role="status">
          The plan cannot be loaded: {problem} <a href="#/batches">Go to the batches.</a>
        </p>
      )}
      {!value && loading && <p class="waiting">Loading the plan…</p>}
      {value && (
        <>
          <Head plan={value} edits={edits} />
          <UndoLine edits={edits} />
          <Steps plan={value} edits={edits} />
          <Noted plan={value} />
          <IfMay route="changePreparation">
            <Change plan={value} edits={edits} />
          </IfMay>
        </>
      )}
    </>
  );
}

type PartProps = { readonly plan: Preparation; readonly edits: Edits };

function Head({ plan, edits }: PartProps) {
  const place = known.value.places.find(({ id }) => id === plan.placeId);
  const missing = missingWords(plan);
  const stick = () =>
    edits.run(async () => {
      const batch = await call('stickPreparation', { params: { id: plan.id }, body: {} });
      say(`${batchName(batch)} stuck. Deleting the batch opens its plan again.`);
      location.hash = batchHref(batch.id);
      return null;
    });
  return (
    <header class="batch-head" data-testid="plan-head">
      <h1>
        {batchName(plan)} <span class="quiet">planned</span>
      </h1>
      <p class="stage-now">{leftWords(plan, today())}.</p>
      <p>
        {plan.count !== null && cuttings(plan.count)} {place && `at ${place.name}`}
      </p>
      {plan.batchId !== null && (
        <p>
          It is stuck: <a href={batchHref(plan.batchId)}>go to the batch</a>.
        </p>
      )}
      {plan.batchId === null && missing && <p>{missing}</p>}
      {plan.batchId === null && !missing && (
        <IfMay route="stickPreparation">
          <button type="button" class="first" disabled={edits.busy} onClick={() => void stick()}>
            Stick it now
          </button>
        </IfMay>
      )}
    </header>
  );
}

function Steps({ plan, edits }: PartProps) {
  return (
    <section data-testid="plan-steps">
      <h2>Before sticking</h2>
      {plan.steps.length === 0 && <p class="quiet">No step is chosen.</p>}
      <ul class="plan-steps">
        {plan.steps.map((step) => (
          <Step key={step.id} step={step} plan={plan} edits={edits} />
        ))}
      </ul>
    </section>
  );
}

function Step({ step, plan, edits }: PartProps & { step: PreparationStep }) {
  const { id, name, what, disputed, daysBefore, state, doneAt } = step;
  const params = { id: plan.id, stepId: id };
  const tick = () =>
    edits.run(async () => {
      await call('tickPreparationStep', { params, body: { done: doneAt === null } });
      const back = doneAt === null ? { done: false } : { done: true, at: doneAt };
      return {
        words: `${name}: ${doneAt === null ? 'done' : 'not done'}.`,
        run: () => call('tickPreparationStep', { params, body: back }),
      };
    });
  return (
    <li class={state === 'due' || state === 'late' ? 'due' : ''}>
      <label class="choice">
        <input
          type="checkbox"
          checked={doneAt !== null}
          disabled={edits.busy || !may('tickPreparationStep')}
          onChange={() => void tick()}
        />
        {name}: {stepWords(step, today())}
      </label>
      <p class="hint">
        {what} {beforeWords(daysBefore)}; {sourceWords(step)}.
      </p>
      {disputed && <p class="hint">Disputed: {disputed}</p>}
    </li>
  );
}

function Noted({ plan }: { plan: Preparation }) {
  const names = (Object.keys(PLAN_NAMES) as PlanName[]).filter((name) => plan[name] !== null);
  const medium = mediumWords(plan);
  if (names.length === 0 && medium === '') return null;
  return (
    <section>
      <h2>Notes</h2>
      <dl class="facts">
        {names.map((name) => (
          <>
            <dt key={`${name} name`}>{PLAN_NAMES[name]}</dt>
            <dd key={name}>{plan[name]}</dd>
          </>
        ))}
        {medium !== '' && (
          <>
            <dt>medium is</dt>
            <dd>{medium}</dd>
          </>
        )}
      </dl>
    </section>
  );
}

function Change({ plan, edits }: PartProps) {
  const { value } = useLoaded('plan choices', choices);
  const params = { id: plan.id };
  const remove = () =>
    edits.run(async () => {
      await call('deletePreparation', { params });
      say(`Plan of ${batchName(plan)} deleted. It can be restored under “Deleted plans”.`);
      location.hash = '#/batches';
      return null;
    });
  return (
    <section>
      <h2>Change or delete</h2>
      {value && (
        <details>
          <summary>Change the plan</summary>
          <PlanForm
            key={JSON.stringify(bodyOf(plan))}
            plan={plan}
            {...value}
            busy={edits.busy}
            save={(body) =>
              edits.run(async () => {
                await call('changePreparation', { params, body });
                const back = () => call('changePreparation', { params, body: bodyOf(plan) });
                return { words: 'Plan saved.', run: back };
              })
            }
          />
        </details>
      )}
      <button type="button" disabled={edits.busy} onClick={() => void remove()}>
        Delete
      </button>
    </section>
  );
}
