import { useEffect, useState } from 'preact/hooks';
import type { CheckView } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { useOrder } from '../../common/hooks.ts';
import { may } from '../../settings/access.ts';
import { say, secondMs } from '../../state.ts';
import type { Named } from '../named.ts';
import { BeginForm } from './check-begin.tsx';
import { instructionsOf } from './check-instructions.ts';
import { Outcome } from './check-outcome.tsx';
import { PendingMessage } from './check-waiting.tsx';
import { referenceWords, resultWords, stepWords, takenWords } from './check-words.ts';

/** How often a step under way is checked, ms. */
const CHECK_EVERY_MS = 5_000;

type RunProps = { readonly check: CheckView; readonly named: Named; readonly changed: () => void };

/** A check under way, as the daemon sees it now. */
function useCheck(check: CheckView): [CheckView, (view: CheckView) => void, string | null] {
  const [view, setView] = useState(check);
  const [problem, setProblem] = useState<string | null>(null);
  const round = Math.floor(secondMs.value / CHECK_EVERY_MS);
  useEffect(() => {
    let current = true;
    if (view.ended === null && view.steadiness !== null)
      call('getCheck', { params: { id: view.id } }).then(
        (next) => {
          if (!current) return;
          setProblem(null);
          // what somebody ordered meanwhile is newer than this check
          setView((now) => (now.at === next.at && now.ended === null ? next : now));
        },
        (thrown: unknown) => current && setProblem(thrown instanceof Error ? thrown.message : null),
      );
    return () => {
      current = false;
    };
  }, [round]);
  return [view, setView, problem];
}

/** One check under way, led step by step. */
export function CheckRun({ check, named, changed }: RunProps) {
  const [view, setView, lost] = useCheck(check);
  const order = useOrder();
  const { probeId, at, steps } = view;
  const step = at === null ? undefined : steps[at];
  const scale = named.scaleOf(probeId);
  const run = (work: () => Promise<CheckView>) =>
    order.run(async () => {
      const next = await work();
      setView(next);
      if (next.result) say(resultWords(next, scale));
    });
  const giveUp = async () => {
    if (await order.run(() => call('abandonCheck', { params: { id: view.id } }))) changed();
  };
  return (
    <article class="check-run" data-testid="check-run">
      <h3>
        Check of <span class="breakable">{named.nameOf(probeId)}</span>{' '}
        {stepWords(view) && `· ${stepWords(view)}`}
      </h3>
      {steps.map(
        ({ taken, reference }) =>
          taken && (
            <p key={JSON.stringify(reference)} data-testid="taken">
              <b>{referenceWords(reference, named.nameOf)}.</b> {takenWords(taken, scale)}
            </p>
          ),
      )}
      {step && <StepGuide view={view} named={named} />}
      {step?.sinceMs === null && may('startCheck') && <BeginForm view={view} order={order} run={run} />}
      {step && step.sinceMs !== null && view.steadiness && (
        <PendingMessage
          view={view}
          scale={scale}
          order={order}
          run={run}
          steadiness={view.steadiness}
          sinceMs={step.sinceMs}
        />
      )}
      {view.result && <Outcome view={view} named={named} changed={changed} />}
      {lost && <p class="problem">How far it is cannot be asked now: {lost}</p>}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
      {step && may('startCheck') && <GiveUp busy={order.busy} giveUp={giveUp} />}
    </article>
  );
}

function StepGuide({ view, named }: { view: CheckView; named: Named }) {
  const step = view.steps[view.at ?? 0];
  if (!step) return null;
  const { reference } = step;
  const beside = reference.kind === 'probe' ? named.nameOf(reference.probeId) : '';
  const instructions = instructionsOf(reference, { probe: named.nameOf(view.probeId), beside });
  return (
    <details open={step.sinceMs === null}>
      <summary>{instructions.title}: what to do</summary>
      <ol class="what-to-do">
        {instructions.steps.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ol>
      <h4>Take care</h4>
      <ul class="care">
        {instructions.care.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
      {reference.kind !== 'probe' && (
        <p class="quiet">
          While it is there its readings are of the bath and not of the bench: they stay in the record, marked
          by this check, and are left out of all that is counted and alarmed, until half an hour after.
        </p>
      )}
    </details>
  );
}

function GiveUp({ busy, giveUp }: { busy: boolean; giveUp: () => Promise<void> }) {
  const [sure, setSure] = useState(false);
  if (!sure)
    return (
      <p class="row">
        <button type="button" onClick={() => setSure(true)}>
          Give this check up…
        </button>
      </p>
    );
  return (
    <p class="row">
      <button type="button" disabled={busy} onClick={() => void giveUp()}>
        Yes, give this check up
      </button>
      <button type="button" onClick={() => setSure(false)}>
        Go on with it
      </button>
    </p>
  );
}
