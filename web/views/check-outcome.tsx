import { useState } from 'preact/hooks';
import type { CheckView } from '../../shared/wire/checks.ts';
import { may } from '../access.ts';
import { checksApi } from '../checks-api.ts';
import { lineWords, resultWords } from '../state/check-words.ts';
import type { Named } from '../state/named.ts';
import { useOrder } from './hooks.ts';

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
      await checksApi.correct(view.probeId, { ...proposal, reason, checkId: view.id });
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
      {proposal && !isEntered && may('post /api/v1/checks') && (
        <p class="quiet">
          To correct from an earlier time, enter it below at the probe. What it told stays in the record
          either way.
        </p>
      )}
      <p class="row">
        {proposal && !isEntered && may('post /api/v1/checks') && (
          <button type="button" class="first" disabled={order.busy} onClick={() => void enter()}>
            Correct it so from now on
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
