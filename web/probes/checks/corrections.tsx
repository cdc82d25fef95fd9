import type { Correction } from '../../../shared/model/probes/correction.ts';
import type { ProbeTruth } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { type Order, useOrder } from '../../common/hooks.ts';
import { calendarDay, momentWords } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { nowMs, reader, timeZone } from '../../state.ts';
import type { Named } from '../named.ts';
import { correctionState, lineWords, valueWords } from './check-words.ts';
import { CorrectionForm } from './correction-form.tsx';
import { DueForm } from './due-form.tsx';

type TruthProps = { readonly truth: ProbeTruth; readonly named: Named; readonly changed: () => void };

/** What is known of the truth of one probe: its correction, its history, and when it is checked next. */
export function ProbeTruthItem({ truth, named, changed }: TruthProps) {
  const { probeId, told: reported, inForce, corrections, due, lastCheck } = truth;
  const scale = named.scaleOf(probeId);
  const order = useOrder();
  const isDue = due !== null && Date.parse(due) <= nowMs.value;
  return (
    <li>
      <details data-testid={`truth-${probeId}`}>
        <summary>
          <span class="breakable">{named.nameOf(probeId)}</span>
          {': '}
          {inForce ? lineWords(inForce, scale) : 'no correction'}
          {isDue && ', check due'}
        </summary>
        {reported && (
          <p>
            It read {valueWords(reported.value, scale)}
            {reported.corrected !== reported.value &&
              `, which counts as ${valueWords(reported.corrected, scale)}`}
            .
          </p>
        )}
        <p class="quiet">
          {lastCheck === null
            ? 'Never checked.'
            : `Last checked ${momentWords({ atMs: Date.parse(lastCheck), ...reader.value })}.`}{' '}
          {due === null
            ? 'No check is due.'
            : `Next check ${calendarDay({ atMs: Date.parse(due), timeZone: timeZone.value })} ${new Date(due).getUTCFullYear()}.`}
        </p>
        {corrections.length > 0 && (
          <ol class="corrections">
            {corrections.toReversed().map((correction) => (
              <CorrectionLine
                key={correction.id}
                correction={correction}
                truth={truth}
                named={named}
                changed={changed}
                order={order}
              />
            ))}
          </ol>
        )}
        {may('correctProbe') && (
          <>
            {inForce && (inForce.gain !== 1 || inForce.offset !== 0) && (
              <button
                type="button"
                disabled={order.busy}
                onClick={() => void endNow(probeId, order).then((done) => done && changed())}
              >
                End the correction now
              </button>
            )}
            <CorrectionForm truth={truth} scale={scale} changed={changed} order={order} />
            {truth.kinds.length > 0 && <DueForm truth={truth} changed={changed} order={order} />}
          </>
        )}
        {order.problem && (
          <p class="problem" role="status">
            {order.problem}
          </p>
        )}
      </details>
    </li>
  );
}

function endNow(probeId: number, order: Order): Promise<boolean> {
  const body = { gain: 1, offset: 0, reason: 'ended by hand' };
  return order.run(() => call('correctProbe', { params: { id: probeId }, body }));
}

type LineProps = TruthProps & { readonly correction: Correction; readonly order: Order };

function CorrectionLine({ correction, truth, named, changed, order }: LineProps) {
  const { id, fromMs, by, reason, checkId, enteredMs, withdrawnMs, withdrawnBy } = correction;
  const state = correctionState(correction, truth);
  const at = (atMs: number) => momentWords({ atMs, ...reader.value });
  const turn = async () => {
    const route = withdrawnMs === null ? 'withdrawCorrection' : 'restoreCorrection';
    if (await order.run(() => call(route, { params: { id } }))) changed();
  };
  return (
    <li class={state === 'in force' ? '' : 'quiet'}>
      <p>
        <b>{state}</b>: from {at(fromMs)} {lineWords(correction, named.scaleOf(truth.probeId))}. {reason}
        {checkId !== null && ` (check ${checkId})`}, entered {at(enteredMs)}
        {by && ` by ${by}`}
        {withdrawnMs !== null && `; withdrawn ${at(withdrawnMs)}${withdrawnBy ? ` by ${withdrawnBy}` : ''}`}.
      </p>
      {may('correctProbe') && (
        <button type="button" disabled={order.busy} onClick={() => void turn()}>
          {withdrawnMs === null ? 'Withdraw it' : 'Put it back'}
        </button>
      )}
    </li>
  );
}
