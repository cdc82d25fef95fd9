import { useState } from 'preact/hooks';
import { OWNER_NAME, type Role } from '../../shared/model/people/roles.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { PasswordField, Problem } from '../common/password-field.tsx';
import { say } from '../state.ts';
import { access, applyAccess, askAccess } from './access.ts';
import { AccessEvents } from './access-events.tsx';
import { Accounts } from './accounts.tsx';
import { DeviceLoginSection } from './device-login.tsx';
import { Passkeys } from './passkeys.tsx';
import { Sessions } from './sessions.tsx';

/** What each role may do, in a grower's words. */
const ROLE_WORDS: Readonly<Record<Role, string>> = {
  look: 'may look at everything',
  tend: 'may look, acknowledge, shelve and log vents',
  own: 'may do everything',
};

/** Access: nobody is asked until an owner password is set here. */
export function AccessSection({ broker }: Pick<HouseFacts, 'broker'>) {
  const loaded = access.value;
  if (loaded === null) return <p role="status">Loading access…</p>;
  if (!loaded.closed) return <OwnerForm />;
  return (
    <div class="access">
      <Present />
      <PasswordForm />
      <Sessions />
      <Passkeys />
      <IfMay route="listAccounts">
        <Accounts />
      </IfMay>
      {broker.embedded && (
        <IfMay route="renewDeviceLogin">
          <DeviceLoginSection address={broker.address} />
        </IfMay>
      )}
      <IfMay route="listAccessEvents">
        <AccessEvents />
      </IfMay>
    </div>
  );
}

function OwnerForm() {
  const order = useOrder();
  const [password, setPassword] = useState('');
  const save = async (event: Event) => {
    event.preventDefault();
    const done = await order.run(async () =>
      applyAccess(await call('setOwnerPassword', { body: { password } })),
    );
    if (done) say('The owner password is set. You are signed in as owner.');
  };
  return (
    <div class="access">
      <p>
        No sign-in yet: anyone on this computer has full control, and no other computer is answered. With an
        owner password, page, interface and sensors must sign in; only then may <code>STRIKEWELL_HOST</code>{' '}
        be an address that others reach.
      </p>
      <form onSubmit={(event) => void save(event)} data-testid="owner-password">
        <PasswordField
          label="owner password"
          value={password}
          fresh
          account={OWNER_NAME}
          onInput={setPassword}
        />
        <button type="submit" disabled={order.busy}>
          Set it
        </button>
        <p class="quiet">
          Sensors that publish now are cut off until they have a login, which is then made here. To reset a
          forgotten password, run <code>npx strikewell owner</code> on this computer.
        </p>
        <Problem words={order.problem} />
      </form>
    </div>
  );
}

function Present() {
  const order = useOrder();
  const loaded = access.value;
  if (!loaded?.who) return null;
  const signOut = () => void order.run(async () => applyAccess(await call('signOut')));
  return (
    <>
      <p>
        Signed in as <b data-testid="who">{loaded.who.name}</b>, who {ROLE_WORDS[loaded.who.role]}.
      </p>
      {!loaded.encrypted && (
        <p class="quiet">
          What this page sends is not encrypted on its way: on a network you do not trust, set a certificate.
        </p>
      )}
      <button type="button" disabled={order.busy} onClick={signOut} data-testid="sign-out">
        Sign out
      </button>
      <Problem words={order.problem} />
    </>
  );
}

function PasswordForm() {
  const order = useOrder();
  const [current, setCurrent] = useState('');
  const [password, setPassword] = useState('');
  const save = async (event: Event) => {
    event.preventDefault();
    if (!(await order.run(() => call('changePassword', { body: { current, password } })))) return;
    setCurrent('');
    setPassword('');
    say('Password changed; your other sessions have ended.');
    await askAccess();
  };
  return (
    <details>
      <summary>Change your password</summary>
      <form onSubmit={(event) => void save(event)}>
        <PasswordField label="current password" value={current} fresh={false} onInput={setCurrent} />
        <PasswordField
          label="new password"
          value={password}
          fresh
          account={access.value?.who?.name ?? ''}
          onInput={setPassword}
        />
        <button type="submit" disabled={order.busy}>
          Change it
        </button>
        <Problem words={order.problem} />
      </form>
    </details>
  );
}
