import type { UnreadTopic } from '../../shared/wire/probes/foreign-messages.ts';
import { call } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { clockSeconds } from '../common/time.ts';
import { may } from '../settings/access.ts';
import { foreignCounts, timeZone } from '../state.ts';
import { messagesWords, senderWords, sortedOut, sourceWords } from './unread.ts';

function Row({ row }: { row: UnreadTopic }) {
  const { topic, suggestion, fault, lastAt, bytes, start } = row;
  const sender = senderWords(row);
  const at = clockSeconds({ atMs: Date.parse(lastAt), timeZone: timeZone.value });
  return (
    <li class="heard refused" data-testid="unread">
      <p>
        <b class="breakable">{topic}</b>
      </p>
      {suggestion !== null && (
        <p>
          Did you mean <b class="breakable">{suggestion}</b>?
        </p>
      )}
      {fault !== null && fault !== '' && <p class="quiet breakable">Found {fault}.</p>}
      <p class="quiet">
        {messagesWords(row)}, the last at {at}
        {sender !== '' && `, from ${sender}`}
      </p>
      <details>
        <summary>What was sent ({bytes} bytes)</summary>
        <Scrolling as="pre" name="What was sent">
          {start}
        </Scrolling>
      </details>
    </li>
  );
}

function useUnread() {
  const { value } = useLoaded(`unread ${foreignCounts.value.unread}`, () => call('listUnreadTopics'));
  return value;
}

/** Topics that nothing reads, each with the one that was probably meant. */
export function UnreadTopics() {
  const answer = useUnread();
  if (!answer) return null;
  const { misspelt, others } = sortedOut(answer);
  const cannot = sourceWords(answer.source);
  return (
    <>
      {cannot && <p class="quiet">{cannot}</p>}
      {misspelt.length > 0 && (
        <section data-testid="misspelt">
          <h2>Not read: check the topic</h2>
          <p>
            These messages are acknowledged, but nothing reads their topic, so nothing of them is stored.
            Correct the topic in the device.
          </p>
          <ol class="heard-list">
            {misspelt.map((row) => (
              <Row key={row.topic} row={row} />
            ))}
          </ol>
        </section>
      )}
      {others.length > 0 && (
        <details data-testid="other-topics">
          <summary>Other topics that nothing reads: {others.length}</summary>
          <p>
            {may('listMappings') ? (
              <>
                To read one of them, open <a href="#/other">Other topics</a>.
              </>
            ) : (
              'An owner can set up which of them are read.'
            )}
          </p>
          <ol class="heard-list">
            {others.map((row) => (
              <Row key={row.topic} row={row} />
            ))}
          </ol>
        </details>
      )}
    </>
  );
}

/** On the first page: the newest misspelt topic, as the person who connects the first sensor needs it now. */
export function MisspeltNotice() {
  const answer = useUnread();
  const [newest] = answer ? sortedOut(answer).misspelt : [];
  if (!newest) return null;
  const sender = senderWords(newest);
  return (
    <p class="problem" role="status" data-testid="misspelt-notice">
      A device{sender === '' ? '' : ` (${sender})`} publishes on <b class="breakable">{newest.topic}</b>,
      which nothing reads. Did you mean <b class="breakable">{newest.suggestion}</b>?{' '}
      <a href="#/watch">Live messages</a> shows more.
    </p>
  );
}
