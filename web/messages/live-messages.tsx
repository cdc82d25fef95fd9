import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { ReceivedMessage } from '../../shared/wire/probes/foreign-messages.ts';
import { call, problemWords } from '../api.ts';
import { IfMay } from '../common/if-may.tsx';
import { clockSeconds, withLocalTimes } from '../common/time.ts';
import { firstPackCommand } from '../devices/broker.ts';
import { may } from '../settings/access.ts';
import { foreignCounts, known, link, nowMs, say, timeZone } from '../state.ts';
import {
  countWords,
  devicesOf,
  NOTHING_SHOWN,
  ofDevice,
  outcomeWords,
  payloadText,
  type Shown,
  withMessages,
} from './live-messages.ts';
import { UnreadTopics } from './unread.tsx';

/** Watching ends two minutes after the page last said that somebody looks. */
const RENEW_MS = 40_000;

/** Watches for as long as somebody looks at the page, and asks for what was received when notified that there is something. */
function useWatch(): Shown & { readonly problem: string | null; readonly begun: boolean } {
  const [shown, setShown] = useState(NOTHING_SHOWN);
  const [problem, setProblem] = useState<string | null>(null);
  const [begun, setBegun] = useState(false);
  const last = useRef(0);
  const isLive = link.value === 'live';
  const askAfter = async (afterId: number): Promise<void> => {
    const answer = await call('listWatched', { query: { after: afterId } });
    // a daemon that restarted numbers from 1 again
    if (answer.last < last.current) {
      last.current = 0;
      setShown(NOTHING_SHOWN);
      return askAfter(0);
    }
    last.current = answer.last;
    setProblem(null);
    setBegun(answer.until !== null);
    setShown((before) => withMessages(before, answer));
  };
  const refused = (thrown: unknown) => setProblem(problemWords(thrown));
  useEffect(() => {
    if (!isLive) return;
    const renew = () => {
      if (document.visibilityState !== 'visible') return;
      void call('watchMessages')
        .then(() => askAfter(last.current))
        .catch(refused);
    };
    renew();
    const timer = setInterval(renew, RENEW_MS);
    document.addEventListener('visibilitychange', renew);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', renew);
    };
  }, [isLive]);
  const { watched } = foreignCounts.value;
  useEffect(() => {
    if (isLive && watched > 0) askAfter(last.current).catch(refused);
  }, [watched]);
  return { ...shown, problem, begun };
}

function ReceivedRow({ message }: { message: ReceivedMessage }) {
  const { topic, at, bytes, retained, verdict } = message;
  const [first = '', ...rest] = verdict.lines;
  const lines = [first.startsWith(topic) ? first : `${topic}: ${first}`, ...rest];
  return (
    <li class={`heard ${verdict.outcome}`} data-testid="heard">
      <p>
        <b>{outcomeWords(verdict)}</b> · {verdict.device ?? 'no known device'} ·{' '}
        {clockSeconds({ atMs: Date.parse(at), timeZone: timeZone.value })} · {bytes} bytes
        {retained && ' · retained copy'}
      </p>
      <pre>{withLocalTimes(lines.join('\n'), { nowMs: nowMs.value, timeZone: timeZone.value })}</pre>
      <details>
        <summary>What was sent</summary>
        <pre>{payloadText(message)}</pre>
      </details>
    </li>
  );
}

function Silence({ begun }: { begun: boolean }) {
  const { house } = known.value;
  if (!house) return null;
  return (
    <section data-testid="nothing-heard">
      <p role="status">{begun ? 'Watching. Nothing has come yet.' : 'Beginning to watch…'}</p>
      <p>
        Switch the device on, or let it send to the broker at <b class="breakable">{house.broker.address}</b>
        {house.broker.connected ? '' : ' (which cannot be reached now)'}. The same by hand, from a shell:
      </p>
      <div class="command">
        <pre>{firstPackCommand(house.broker.address)}</pre>
      </div>
      <p class="quiet">
        A device that does not appear at all did not reach the broker: look at its network, the address, the
        port, and its name and secret.
        {may('listMappings') && (
          <>
            {' '}
            One that sends on topics of its own is read under <a href="#/other">Other topics</a>.
          </>
        )}
      </p>
    </section>
  );
}

/** What devices say, as it comes, each message with what became of it. */
export function WatchPage() {
  const { messages, gap, problem, begun } = useWatch();
  const id = useId();
  const [device, setDevice] = useState('');
  const [held, setHeld] = useState<readonly ReceivedMessage[] | null>(null);
  const listed = ofDevice(held ?? messages, device);
  const came = held === null ? 0 : messages.filter((message) => message.id > (held[0]?.id ?? 0)).length;
  const pause = () => {
    setHeld(held === null ? messages : null);
    say(held === null ? 'The list is paused.' : 'The list continues.');
  };
  return (
    <div class="plain-page">
      <h1>Live messages</h1>
      <p class="say">
        Every message as it comes, with what was stored of it and where, or why it was rejected and how to fix
        it. The list is held in memory for as long as somebody looks, and two minutes more.
      </p>
      {link.value === 'offline' && (
        <p class="problem" role="status">
          Not connected to the daemon: what devices say now is not shown here.
        </p>
      )}
      {problem && link.value !== 'offline' && (
        <p class="problem" role="status">
          Watching cannot go on: {problem}
        </p>
      )}
      <IfMay route="listUnreadTopics">
        <UnreadTopics />
      </IfMay>
      {messages.length === 0 ? (
        problem === null && <Silence begun={begun} />
      ) : (
        <>
          <div class="row watch-bar">
            <label for={id}>device</label>
            <select id={id} value={device} onChange={(event) => setDevice(event.currentTarget.value)}>
              <option value="">all</option>
              {devicesOf(messages).map((name) => (
                <option key={name} value={name}>
                  {name}
                </option>
              ))}
            </select>
            <button type="button" aria-pressed={held !== null} onClick={pause}>
              {held === null ? 'Pause' : `Go on${came > 0 ? ` (${came} more came)` : ''}`}
            </button>
            <span class="quiet">{countWords(listed)}</span>
          </div>
          {gap && <p class="quiet">Some between are left out: more came than are held.</p>}
          <ol class="heard-list">
            {listed.map((message) => (
              <ReceivedRow key={message.id} message={message} />
            ))}
          </ol>
        </>
      )}
    </div>
  );
}
