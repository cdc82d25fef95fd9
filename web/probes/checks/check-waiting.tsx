import type { CheckView, Steadiness } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { degreeSign, fixed, readingTemperature } from '../../common/format.ts';
import type { Order } from '../../common/hooks.ts';
import { momentWords } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { reader } from '../../state.ts';
import type { Run } from './check-begin.tsx';
import { criterionWords, progressOf, rightWords, type Scale, valueWords } from './check-words.ts';

type WaitingProps = {
  readonly view: CheckView;
  readonly steadiness: Steadiness;
  readonly sinceMs: number;
  readonly scale: Scale;
  readonly order: Order;
  readonly run: Run;
};

/** How far the readings have come to rest, and what is still missing. */
export function PendingMessage({ view, steadiness, sinceMs, scale, order, run }: WaitingProps) {
  const { steady, criteria, newest, mean, reference, uncertainty, temperatureC } = steadiness;
  const inC: Scale = { quantity: 'air/temperature', unitText: '', unit: scale.unit };
  const knowsNoValue = reference === null && criteria.every(({ met }) => met);
  return (
    <div class="waiting-step">
      <p data-testid="rest">
        <b role="status">{steady ? 'At rest.' : 'Not at rest yet.'}</b> There since{' '}
        {momentWords({ atMs: sinceMs, ...reader.value })}
        {newest !== null && `; it reads ${valueWords(newest, scale)}`}
        {reference !== null &&
          uncertainty !== null &&
          `; right is ${rightWords(reference, uncertainty, scale)}`}
        {temperatureC !== null && `; the jar is at ${valueWords(temperatureC, inC)}`}. This page need not stay
        open.
      </p>
      <progress max={1} value={progressOf(steadiness)} aria-label="part of the least time that has passed" />
      <ul class="criteria">
        {criteria.map((criterion) => (
          <li key={criterion.name} class={criterion.met ? 'met' : ''}>
            <span aria-hidden="true">{criterion.met ? '✓' : '…'}</span>{' '}
            <span class="unseen">{criterion.met ? 'met: ' : 'still missing: '}</span>
            {criterionWords(criterion, scale)}
          </li>
        ))}
      </ul>
      {knowsNoValue && (
        <p class="problem">
          The temperature of the jar is not known, or lies beyond{' '}
          {fixed(readingTemperature(0, scale.unit), 0)} to {fixed(readingTemperature(50, scale.unit), 0)}{' '}
          {degreeSign(scale.unit)}, where no value is published.
        </p>
      )}
      {may('startCheck') && (
        <p class="row">
          <button
            type="button"
            class="first"
            disabled={!steady || order.busy}
            onClick={() => void run(() => call('takeCheckStep', { params: { id: view.id } }))}
          >
            {steady && mean !== null ? `Take ${valueWords(mean, scale)}` : 'Take it once it is at rest'}
          </button>
        </p>
      )}
    </div>
  );
}
