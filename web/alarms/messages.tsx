import { useState } from 'preact/hooks';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { heldWords, nobodyWords } from '../../shared/words/calls.ts';
import { call } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import { deliveryWords } from '../people/people.ts';
import { known, nowMs, reader } from '../state.ts';

const MOST = 12;

/** Who was notified of an alarm, and what became of each message; asked when it is opened. */
export function Messages({ alarm }: { alarm: Alarm }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="messages" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Who was notified</summary>
      {open && <MessageList alarm={alarm} />}
    </details>
  );
}

function MessageList({ alarm }: { alarm: Alarm }) {
  const { id, state } = alarm;
  const turn = Math.floor(nowMs.value / 10_000);
  const { value, problem, loading } = useLoaded(`${id} ${state} ${turn}`, () =>
    call('listAlarmMessages', { params: { id } }),
  );
  const { messages, held = [] } = value ?? {};
  if (problem) return <p class="problem">The messages cannot be loaded: {problem}</p>;
  if (!messages) return loading ? <p class="waiting">Loading messages…</p> : null;
  if (isDemoAlarm(alarm)) return <p>Not sent to anybody: this is a demo place.</p>;
  if (messages.length === 0 && held.length === 0) return <p>{nobodyWords(alarm)}</p>;
  return (
    <ul data-testid="messages">
      {held.map(({ to, why, until }) => (
        <li key={`${why} ${to}`} class="held">
          {heldWords({ to, why, untilMs: Date.parse(until) }, reader.value)}.
        </li>
      ))}
      {messages.slice(0, MOST).map((message) => (
        <li
          key={message.id}
          class={message.state === 'failed' || message.state === 'given-up' ? 'problem' : ''}
        >
          {deliveryWords(message, reader.value)}
        </li>
      ))}
      {messages.length > MOST && <li class="quiet">and {messages.length - MOST} earlier</li>}
    </ul>
  );
}

function isDemoAlarm({ placeId }: Alarm): boolean {
  return known.value.places.some(({ id, invented }) => id === placeId && invented);
}
