import { useState } from 'preact/hooks';
import type { Person } from '../../shared/model/people/people.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { say } from '../state.ts';
import { type PushState, pushState, subscribe } from './push.ts';

const WHY_NOT: Readonly<Record<Exclude<PushState, 'askable' | 'granted'>, string>> = {
  insecure: 'Notifications need this page over https, or on the machine itself.',
  unsupported: 'This browser takes no notifications; on a phone, put the page on the home screen first.',
  denied: 'This browser refuses notifications from this page: allow them in its settings, then come back.',
};

/** Lets this very browser take notifications for a person. */
export function PushSwitch(props: { person: Person; pushKey: string | null; changed: () => void }) {
  const { person, pushKey, changed } = props;
  const order = useOrder();
  const [state, setState] = useState(pushState);
  if (pushKey === null) return null;
  if (state !== 'askable' && state !== 'granted') return <p class="quiet">{WHY_NOT[state]}</p>;
  const add = () =>
    order.run(async () => {
      const method = await subscribe({ pushKey, name: browserName(navigator.userAgent) });
      setState(pushState());
      if (!method) return;
      await call('addWay', { params: { id: person.id }, body: method });
      say(`This browser notifies ${person.name} of alarms.`);
      changed();
    });
  return (
    <>
      <button type="button" disabled={order.busy} onClick={() => void add()}>
        {order.busy ? 'Asking the browser for permission…' : 'Notify on this browser'}
      </button>
      {order.problem && (
        <p class="problem" role="status">
          Notifications cannot be set up: {order.problem}
        </p>
      )}
    </>
  );
}

function browserName(agent: string): string {
  const which = ['Firefox', 'Edg', 'Chrome', 'Safari'].find((name) => agent.includes(`${name}/`));
  const where = ['Android', 'iPhone', 'iPad', 'Windows', 'Mac', 'Linux'].find((name) => agent.includes(name));
  return `${which === 'Edg' ? 'Edge' : (which ?? 'a browser')}${where ? ` on ${where}` : ''}`;
}
