import { useState } from 'preact/hooks';
import type { AccessEvent } from '../../shared/wire/access.ts';
import { call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { momentWords } from '../common/time.ts';
import { reader } from '../state.ts';
import { eventWords } from './access-events.ts';

/** Sign-ins, refusals and changes of who may, newest first. */
export function AccessEvents() {
  const newest = useLoaded('access-events', () => call('listAccessEvents'));
  const order = useOrder();
  const [older, setOlder] = useState<readonly AccessEvent[]>([]);
  const [next, setNext] = useState<string | null | undefined>(undefined);
  const cursor = next === undefined ? (newest.value?.next ?? null) : next;
  const more = () =>
    order.run(async () => {
      const answer = await call('listAccessEvents', { query: { cursor } });
      setOlder([...older, ...answer.events]);
      setNext(answer.next);
    });
  const again = () => {
    setOlder([]);
    setNext(undefined);
    newest.reload();
  };
  return (
    <details onToggle={(event) => event.currentTarget.open && again()}>
      <summary>Sign-ins and changes</summary>
      {newest.value === null && newest.loading && <p role="status">Asking what happened…</p>}
      <ol class="access-events" data-testid="access-events">
        {[...(newest.value?.events ?? []), ...older].map((event) => (
          <li key={event.id}>
            <time dateTime={event.at}>{momentWords({ atMs: Date.parse(event.at), ...reader.value })}</time>
            <span>{eventWords(event)}</span>
          </li>
        ))}
      </ol>
      {cursor !== null && (
        <button type="button" disabled={order.busy} onClick={() => void more()}>
          Show older
        </button>
      )}
      <Problem words={order.problem ?? newest.problem} />
    </details>
  );
}
