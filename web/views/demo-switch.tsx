import { useState } from 'preact/hooks';
import { may } from '../access.ts';
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
    <fieldset class="confirm">
      <legend class="unseen">Remove the invented places</legend>
      <p>This removes the invented places with all their record and alarms. Your own places stay.</p>
      <span class="row">
        <button type="button" class="first" disabled={order.busy} onClick={() => void remove()}>
          {order.busy ? 'Removing…' : 'Remove them'}
        </button>
        <button type="button" disabled={order.busy} onClick={() => setAsking(false)}>
          Keep them
        </button>
      </span>
    </fieldset>
  );
}

/** How far the record of the invented demo is written, while it is. */
export function DemoProgress() {
  const demo = known.value.house?.demo;
  if (!demo?.running || demo.progressPct === null) return null;
  return (
    <div class="demo-progress">
      <p role="status">Writing the invented record of two weeks; the places below are still behind.</p>
      <progress max={100} value={demo.progressPct} aria-label="invented record written" />{' '}
      {Math.round(demo.progressPct)} %
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
      {running && progressPct === null && <p role="status">The invented places are running.</p>}
      <DemoProgress />
      {!running && !invented && may('post /api/v1/demo') && (
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
      {(running || invented) && may('delete /api/v1/demo') && <Remove />}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </div>
  );
}
