import type { CheckView, ProbeTruth } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { momentWords } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { nowMs, reader } from '../../state.ts';
import { type Named, namedOf } from '../named.ts';
import { CheckRun } from './check-run.tsx';
import { CheckStart } from './check-start.tsx';
import { dueWords, referenceWords, resultWords, takenWords } from './check-words.ts';
import { ProbeTruthItem } from './corrections.tsx';
import { truthsApart } from './truths.ts';

const RENEW_MS = 60_000;

function DoneCheck({ check, named }: { check: CheckView; named: Named }) {
  const scale = named.scaleOf(check.probeId);
  const ended = check.ended ?? check.started;
  return (
    <li>
      <p>
        <b class="breakable">{named.nameOf(check.probeId)}</b>,{' '}
        {momentWords({ atMs: Date.parse(ended), ...reader.value })}
        {check.by && `, by ${check.by}`}: {resultWords(check, scale)}
      </p>
      {check.steps.map(
        ({ reference, taken }) =>
          taken && (
            <p class="quiet" key={JSON.stringify(reference)}>
              {referenceWords(reference, named.nameOf)}: {takenWords(taken, scale)}
            </p>
          ),
      )}
    </li>
  );
}

type TruthsProps = {
  readonly truths: readonly ProbeTruth[];
  readonly named: Named;
  readonly changed: () => void;
};

/** What is known of the truth of each probe; of many, those of which nothing is known are folded. */
function Truths({ truths, named, changed }: TruthsProps) {
  const { known, plain } = truthsApart(truths);
  const list = (some: readonly ProbeTruth[]) => (
    <ul class="truths">
      {some.map((truth) => (
        <ProbeTruthItem key={truth.probeId} truth={truth} named={named} changed={changed} />
      ))}
    </ul>
  );
  return (
    <>
      {known.length > 0 && list(known)}
      {plain.length > 0 && (
        <details>
          <summary>Probes without a correction or a planned check: {plain.length}</summary>
          {list(plain)}
        </details>
      )}
    </>
  );
}

/** Checks of probes against ice, salt and each other, their corrections, and when the next check is due. */
export function ChecksSection() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const checks = useLoaded(`checks ${round}`, () => call('listChecks'));
  const probes = useLoaded(`probes for checks ${round}`, () => call('listProbes'));
  const problem = checks.problem ?? probes.problem;
  const named = namedOf(probes.value?.probes ?? [], reader.value.unit);
  const { value, reload } = checks;
  return (
    <section class="checks" data-testid="checks">
      <h2>Checks and corrections</h2>
      {problem && (
        <p class="problem">
          Checks and corrections cannot be asked now: {problem}
          {value && ' What follows is the last answer.'}
        </p>
      )}
      {(!value || !probes.value) && !problem && <p class="waiting">Loading checks and corrections…</p>}
      {value && probes.value && (
        <>
          <p role="status" data-testid="checks-due">
            {dueWords(value.probes, { nowMs: nowMs.value, nameOf: named.nameOf })}
          </p>
          {value.open.map((check) => (
            <CheckRun key={check.id} check={check} named={named} changed={reload} />
          ))}
          {may('startCheck') ? (
            <CheckStart answer={value} named={named} changed={reload} />
          ) : (
            <p class="quiet">Your account may look at checks, and not make them.</p>
          )}
          <Truths truths={value.probes} named={named} changed={reload} />
          {value.done.length > 0 && (
            <details>
              <summary>Checks that are done: {value.done.length}</summary>
              <ol class="done-checks">
                {value.done.map((check) => (
                  <DoneCheck key={check.id} check={check} named={named} />
                ))}
              </ol>
            </details>
          )}
        </>
      )}
    </section>
  );
}
