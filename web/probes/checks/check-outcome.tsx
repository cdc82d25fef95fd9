import { useState } from 'preact/hooks';
import type { CheckView } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { useOrder } from '../../common/hooks.ts';
import { may } from '../../settings/access.ts';
import type { Named } from '../named.ts';
import { lineWords, resultWords } from './check-words.ts';

/** What a check came to, and the correction it proposes. */
export function Outcome({ view, named, changed }: { view: CheckView; named: Named; changed: () => void }) {
  const scale = named.scaleOf(view.probeId);
  const order = useOrder();
  const proposal = view.result?.proposal ?? null;
  const [isEntered, setIsEntered] = useState(false);
  const enter = () =>
    order.run(async () => {
      if (!proposal) return;
      const reason = { ice: 'ice point', salts: 'salt solutions', beside: 'beside another probe' }[view.kind];
      await call('correctProbe', {
        params: { id: view.probeId },
        body: { ...proposal, reason, checkId: view.id },
      });
      setIsEntered(true);
    });
  return (
    <div class="confirm" data-testid="check-result">
      <p>
        <b>{resultWords(view, scale)}</b>
      </p>
      {isEntered && proposal && (
        <p role="status">
          From now on: {lineWords(proposal, scale)}. It can be withdrawn below, at the probe.
        </p>
      )}
      {proposal && !isEntered && may('startCheck') && (
        <p class="quiet">
          To correct from an earlier time, enter it below at the probe. What it read stays in the record
          either way.
        </p>
      )}
      <p class="row">
        {proposal && !isEntered && may('startCheck') && (
          <button type="button" class="first" disabled={order.busy} onClick={() => void enter()}>
            Apply this correction
          </button>
        )}
        <button type="button" onClick={changed}>
          {proposal && !isEntered ? 'Leave it as it is' : 'Done'}
        </button>
      </p>
      {order.problem && <p class="problem">{order.problem}</p>}
    </div>
  );
}
