import { useState } from 'preact/hooks';
import { api } from '../api.ts';
import { known, say } from '../state.ts';
import { useOrder } from './hooks.ts';

function Remove() {
  const order = useOrder();
  const [asking, setAsking] = useState(false);
  const remove = async () => {
    if (await order.run(api.removeDemo)) say('The invented places are gone.');
    setAsking(false);
  };
  if (!asking) {
    return (
      <>
        <button type="button" onClick={() => setAsking(true)}>
          Stop and remove the invented places…
        </button>
        {order.problem && <p class="problem">{order.problem}</p>}
      </>
    );
  }
  return (
    <div class="confirm" role="group" aria-label="Remove the invented places">
      <p>This removes the invented places with all their record and alarms. Your own places stay.</p>
      <span class="row">
        <button type="button" class="first" disabled={order.busy} onClick={() => void remove()}>
          {order.busy ? 'Removing…' : 'Remove them'}
        </button>
        <button type="button" disabled={order.busy} onClick={() => setAsking(false)}>
          Keep them
        </button>
      </span>
    </div>
  );
}

/** Starts the invented demo, shows how far its record is, and removes it again. */
export function DemoSwitch() {
  const order = useOrder();
  const { house, places } = known.value;
  if (!house) return null;
  const { running, progressPct } = house.demo;
  const invented = places.some((place) => place.invented);
  return (
    <div class="demo">
      {running && (
        <p role="status">
          {progressPct !== null && progressPct < 100
            ? `Writing the invented record: ${Math.round(progressPct)} %`
            : 'The invented places are running.'}
        </p>
      )}
      {running && progressPct !== null && progressPct < 100 && (
        <progress max={100} value={progressPct} aria-label="invented record written" />
      )}
      {!running && !invented && (
        <button
          type="button"
          class="first"
          data-testid="start-demo"
          disabled={order.busy}
          onClick={() => void order.run(api.startDemo)}
        >
          {order.busy ? 'Starting…' : 'Start the invented demo'}
        </button>
      )}
      {!running && invented && <p>The invented places are kept, and stand still.</p>}
      {(running || invented) && <Remove />}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </div>
  );
}
