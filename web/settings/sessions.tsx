import type { SessionRow } from '../../shared/wire/access.ts';
import { call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { momentWords } from '../common/time.ts';
import { reader } from '../state.ts';
import { askAccess } from './access.ts';

/** Who is signed in, from where and until when; each can be ended. */
export function Sessions() {
  const loaded = useLoaded('sessions', () => call('listSessions'));
  const order = useOrder();
  const end = async ({ id, own }: SessionRow) => {
    if (!(await order.run(() => call('endSession', { params: { id } })))) return;
    if (own) await askAccess();
    else loaded.reload();
  };
  const moment = (iso: string) => momentWords({ atMs: Date.parse(iso), ...reader.value });
  return (
    <>
      <h3>Signed in</h3>
      {loaded.value === null && loaded.loading && <p role="status">Loading sessions…</p>}
      <ul class="access-list" data-testid="sessions">
        {(loaded.value?.sessions ?? []).map((session) => (
          <li key={session.id}>
            <span>
              <b>{session.name}</b> from {session.address}, last {moment(session.seenAt)}, until{' '}
              {moment(session.expiresAt)}
              {session.own ? ' (this page)' : ''}
              <span class="quiet"> {systemWords(session.agent)}</span>
            </span>
            <button
              type="button"
              disabled={order.busy}
              aria-label={`End the session of ${session.name} from ${session.address}`}
              onClick={() => void end(session)}
            >
              End
            </button>
          </li>
        ))}
      </ul>
      <Problem words={order.problem ?? loaded.problem} />
    </>
  );
}

/** What a browser says it runs on: what it puts in its first brackets. */
function systemWords(agent: string): string {
  return /\(([^)]*)\)/.exec(agent)?.[1] ?? agent;
}
