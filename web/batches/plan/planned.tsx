import type { Preparation } from '../../../shared/wire/cuttings/preparations.ts';
import { call } from '../../api.ts';
import { may } from '../../settings/access.ts';
import type { Edits } from '../undo.tsx';
import { batchName } from '../words.ts';
import { today } from './plan.tsx';
import { dueSteps, leftWords, stepWords } from './plan-words.ts';

const MOST_LISTED = 200;

/** Open and deleted plans. */
export async function plans() {
  const listed = async (state: 'open' | 'deleted') => {
    const { preparations } = await call('listPreparations', { query: { state, limit: MOST_LISTED } });
    return preparations;
  };
  const [open, deleted] = await Promise.all([listed('open'), listed('deleted')]);
  return { open, deleted };
}

/** What is due today of plans, as lines of a list. */
export function DueSteps({ open }: { open: readonly Preparation[] }) {
  return (
    <>
      {dueSteps(open).map(({ plan, step }) => (
        <li key={`${plan.id} ${step.id}`}>
          <a href={`#/plan/${plan.id}`}>{batchName(plan)}</a>: {step.name}, {stepWords(step, today())}.
        </li>
      ))}
    </>
  );
}

/** Batches that are planned. */
export function Planned({ open }: { open: readonly Preparation[] }) {
  if (open.length === 0) return null;
  return (
    <section data-testid="planned">
      <h2>Planned</h2>
      <ul class="batches">
        {open.map((plan) => (
          <li key={plan.id} class="batch closed">
            <h3>
              <a href={`#/plan/${plan.id}`}>{batchName(plan)}</a>
            </h3>
            <p>
              {leftWords(plan, today())}; {plan.steps.filter(({ state }) => state === 'done').length} of{' '}
              {plan.steps.length} steps done.
            </p>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Deleted plans, each with the way back. */
export function DeletedPlans({ deleted, edits }: { deleted: readonly Preparation[]; edits: Edits }) {
  if (deleted.length === 0 || !may('restorePreparation')) return null;
  const restore = ({ id }: Preparation) =>
    edits.run(async () => {
      await call('restorePreparation', { params: { id } });
      return null;
    });
  return (
    <details data-testid="deleted-plans">
      <summary>Deleted plans: {deleted.length}</summary>
      <ul class="batches">
        {deleted.map((plan) => (
          <li key={plan.id} class="batch closed">
            <p class="row">
              {batchName(plan)}
              <button
                type="button"
                disabled={edits.busy}
                aria-label={`Restore the plan of ${batchName(plan)}`}
                onClick={() => void restore(plan)}
              >
                Restore
              </button>
            </p>
          </li>
        ))}
      </ul>
    </details>
  );
}
