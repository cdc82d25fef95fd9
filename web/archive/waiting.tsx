import type { WaitingAnswer, WaitingDeviceView } from '../../shared/wire/lifecycle.ts';
import { call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Problem } from '../common/password-field.tsx';
import { known, nowMs, reader, say, secondMs } from '../state.ts';
import { acceptedWords, ignoredWords, lostWords, waitingHeadline, waitingWords } from './lifecycle.ts';

const RENEW_MS = 10_000;

/** New devices that wait to be accepted; nothing while none waits or was ignored, unless it is asked for whole. */
export function WaitingSection({ whole = false }: { readonly whole?: boolean }) {
  const { devices = 0, ignored = 0 } = known.value.house?.waiting ?? {};
  if (devices === 0 && (!whole || ignored === 0)) return null;
  return <WaitingList counts={`${devices} ${ignored}`} whole={whole} />;
}

function WaitingList({ counts, whole }: { readonly counts: string; readonly whole: boolean }) {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading, reload } = useLoaded(`waiting ${counts} ${round}`, () =>
    call('listWaiting'),
  );
  return (
    <section class="waiting-section" data-testid="waiting" aria-labelledby="waiting-heading">
      <h2 id="waiting-heading">Waiting</h2>
      {problem && (
        <p class="problem" role="status">
          The devices that wait cannot be listed: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading…</p>}
      {value && <Lists answer={value} changed={reload} whole={whole} />}
    </section>
  );
}

type ListsProps = { readonly answer: WaitingAnswer; readonly changed: () => void; readonly whole: boolean };

function Lists({ answer, changed, whole }: ListsProps) {
  const { waiting, ignored } = answer;
  const headline = waitingHeadline(waiting.length);
  const lost = lostWords(answer);
  return (
    <>
      <p>
        {headline ? (
          <>
            <strong>{headline}</strong> Accept the ones you know. Their messages so far are stored then, with
            the times at which they arrived.
          </>
        ) : (
          'No device is waiting.'
        )}
      </p>
      <ul class="devices">
        {waiting.map((row) => (
          <WaitingRow key={row.device} row={row} changed={changed} />
        ))}
      </ul>
      {lost && <p class="problem">{lost}</p>}
      {whole && ignored.length > 0 && (
        <details data-testid="ignored">
          <summary>Ignored: {ignored.length}</summary>
          <ul class="devices">
            {ignored.map((row) => (
              <WaitingRow key={row.device} row={row} changed={changed} />
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

type RowProps = { readonly row: WaitingDeviceView; readonly changed: () => void };

function WaitingRow({ row, changed }: RowProps) {
  const { device } = row;
  const order = useOrder();
  const give = async (work: () => Promise<string>) => {
    let result = '';
    const done = await order.run(async () => {
      result = await work();
    });
    if (!done) return;
    say(result);
    changed();
  };
  const accept = async () => acceptedWords(await call('acceptDevice', { params: { device } }));
  const ignore = async () => {
    await call('ignoreDevice', { params: { device } });
    return `${device} ignored. Undo it on the page Devices.`;
  };
  const unignore = async () => {
    await call('unignoreDevice', { params: { device } });
    return `${device} is waiting again.`;
  };
  const isIgnored = row.state === 'ignored';
  const at = { ...reader.value, nowMs: secondMs.value };
  const button = (words: string, work: () => Promise<string>, first = false) => (
    <button
      type="button"
      class={first ? 'first' : ''}
      disabled={order.busy}
      aria-label={`${words} ${device}`}
      onClick={() => void give(work)}
    >
      {words}
    </button>
  );
  return (
    <li class="device none" data-testid={`waiting-${device}`}>
      <h3>{device}</h3>
      <p>
        {isIgnored ? ignoredWords(row, at) : waitingWords(row, at)}
        {row.archived && ' It is in the archive: accepting restores it.'}
      </p>
      <IfMay route="acceptDevice">
        <span class="row">
          {isIgnored ? (
            button('Undo', unignore)
          ) : (
            <>
              {button('Accept', accept, true)}
              {button('Ignore', ignore)}
            </>
          )}
        </span>
      </IfMay>
      <Problem words={order.problem} />
    </li>
  );
}
