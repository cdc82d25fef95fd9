import { useEffect } from 'preact/hooks';
import { foreignFilterFault } from '../../shared/topic-filter.ts';
import type { CapturedMessage, ListenAnswer } from '../../shared/wire/probes/foreign-messages.ts';
import { call } from '../api.ts';
import { TextField } from '../common/field.tsx';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { clockSeconds } from '../common/time.ts';
import { foreignCounts, secondMs, timeZone } from '../state.ts';
import { payloadText } from './live-messages.ts';

type ListenProps = {
  readonly filter: string;
  readonly onFilter: (filter: string) => void;
  readonly picked: CapturedMessage | null;
  readonly onPick: (message: CapturedMessage) => void;
};

function stateWords(received: ListenAnswer, leftS: number): string {
  const count = received.messages.length;
  const came = count === 0 ? 'nothing has come yet' : `${count} received`;
  if (received.until !== null && leftS > 0) return `Listening for ${leftS} s more: ${came}.`;
  return count === 0 ? '' : `Not listening any more: ${came}.`;
}

type CapturedProps = Pick<ListenProps, 'picked' | 'onPick'> & {
  readonly messages: readonly CapturedMessage[];
};

function CapturedList({ messages, picked, onPick }: CapturedProps) {
  return (
    <fieldset class="captured">
      <legend>Pick a message</legend>
      {messages.map((message) => (
        <label key={message.id} data-testid="captured">
          <input
            type="radio"
            name="captured"
            checked={picked?.id === message.id}
            onChange={() => onPick(message)}
          />
          <span>
            <b class="breakable">{message.topic}</b>{' '}
            {clockSeconds({ atMs: Date.parse(message.at), timeZone: timeZone.value })}
            {message.retained && ', retained copy'}
            <code>{payloadText(message)}</code>
          </span>
        </label>
      ))}
    </fieldset>
  );
}

/** The topic, and what is received on it for two minutes, one of which is picked. */
export function ListenSection({ filter, onFilter, picked, onPick }: ListenProps) {
  const order = useOrder();
  const { value, reload } = useLoaded(`captured ${foreignCounts.value.captured}`, () => call('listCaptured'));
  const fault = filter === '' ? null : foreignFilterFault(filter.trim());
  const leftS = value?.until ? Math.max(0, Math.round((Date.parse(value.until) - secondMs.value) / 1000)) : 0;
  const isListening = leftS > 0;
  const listen = () =>
    void order.run(() => call('listenToTopics', { body: { filter: filter.trim() } })).then(reload);
  const stop = () => void order.run(() => call('stopListening')).then(reload);
  const messages = (value?.messages ?? []).toReversed();
  useEffect(() => {
    // the daemon ended it when its time was over
    if (!isListening) reload();
  }, [isListening]);
  return (
    <section>
      <h2>1. Listen to the topic</h2>
      <TextField
        name="filter"
        label="topic"
        value={filter}
        unit=""
        placeholder="house/+/climate"
        hint="As the device sends it; + stands for any one level, # at the end for all that follow."
        error={fault === null ? undefined : `This topic ${fault}.`}
        onInput={onFilter}
      />
      <div class="row">
        <button
          type="button"
          class="first"
          disabled={order.busy || filter === '' || fault !== null}
          onClick={listen}
        >
          {isListening ? 'Listen again' : 'Listen for 2 minutes'}
        </button>
        {isListening && (
          <button type="button" disabled={order.busy} onClick={stop}>
            Stop
          </button>
        )}
        <span data-testid="listening">{value && stateWords(value, leftS)}</span>
      </div>
      {isListening && messages.length === 0 && (
        <p class="quiet">Let the device send now: switch it on, or press its button.</p>
      )}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
      {messages.length > 0 && <CapturedList messages={messages} picked={picked} onPick={onPick} />}
    </section>
  );
}
