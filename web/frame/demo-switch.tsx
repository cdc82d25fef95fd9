import { useState } from 'preact/hooks';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { may } from '../settings/access.ts';
import { known, say } from '../state.ts';

function Remove() {
  const order = useOrder();
  const [asking, setAsking] = useState(false);
  const remove = async () => {
    if (await order.run(() => call('removeDemo'))) say('The demo places are gone.');
    setAsking(false);
  };
  if (!asking) {
    return (
      <>
        <button type="button" onClick={() => setAsking(true)}>
          Stop and remove the demo places…
        </button>
        {order.problem && <p class="problem">{order.problem}</p>}
      </>
    );
  }
  return (
    <fieldset class="confirm">
      <legend class="unseen">Remove the demo places</legend>
      <p>This removes the demo places with all their record and alarms. Your own places stay.</p>
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

/** How far the record of the demo is written, while it is. */
export function DemoProgress() {
  const demo = known.value.house?.demo;
  if (!demo?.running || demo.progressPct === null) return null;
  return (
    <div class="demo-progress">
      <p role="status">Writing two weeks of demo record; the places below are still catching up.</p>
      <progress max={100} value={demo.progressPct} aria-label="demo record written" />{' '}
      {Math.round(demo.progressPct)} %
    </div>
  );
}

/** Starts the demo, shows how far its record is, and removes it again. */
export function DemoSwitch() {
  const order = useOrder();
  const { house, places } = known.value;
  if (!house) return null;
  const { running, progressPct } = house.demo;
  const invented = places.some((place) => place.invented);
  return (
    <div class="demo">
      {running && progressPct === null && <p role="status">The demo places are running.</p>}
      <DemoProgress />
      {!running && !invented && may('startDemo') && (
        <button
          type="button"
          class="first"
          data-testid="start-demo"
          disabled={order.busy}
          onClick={() => void order.run(() => call('startDemo'))}
        >
          {order.busy ? 'Starting…' : 'Start the demo'}
        </button>
      )}
      {!running && invented && <p>The demo places are kept, but no longer running.</p>}
      {(running || invented) && may('removeDemo') && <Remove />}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </div>
  );
}
