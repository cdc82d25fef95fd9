import { useState } from 'preact/hooks';
import type { NewDeviceLogin } from '../../shared/wire/access.ts';
import { call } from '../api.ts';
import { TextField } from '../common/field.tsx';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { momentWords } from '../common/time.ts';
import { deviceSettings, isOnlyHere } from '../devices/device-settings.ts';
import { reader } from '../state.ts';

/** The login all sensors share at the embedded broker; its secret is shown once. */
export function DeviceLoginSection({ address }: { address: string }) {
  const loaded = useLoaded('device-login', () => call('getDeviceLogin'));
  const login = loaded.value?.deviceLogin ?? null;
  const order = useOrder();
  const [name, setName] = useState('devices');
  const [made, setMade] = useState<NewDeviceLogin | null>(null);
  const make = async (event: Event) => {
    event.preventDefault();
    const done = await order.run(async () => setMade(await call('renewDeviceLogin', { body: { name } })));
    if (done) loaded.reload();
  };
  return (
    <>
      <h3>Login the sensors share</h3>
      <p>{wordsOf(login)}</p>
      <p class="quiet">
        Better: give each device a secret of its own on the page <a href="#/devices">Devices</a>. This login
        does not speak for those.
      </p>
      {isOnlyHere(address) && (
        <p class="quiet">
          The broker listens on this machine only. Set <code>STRIKEWELL_HOST</code> to an address of it, and
          start again, for sensors on the network.
        </p>
      )}
      {made !== null && (
        <div class="command" data-testid="device-settings">
          <p role="status">Shown this once; copy it into each sensor:</p>
          <pre>{deviceSettings(made, { address, pageHost: location.hostname })}</pre>
        </div>
      )}
      <details>
        <summary>{login ? 'Make a new secret' : 'Make a login'}</summary>
        <form onSubmit={(event) => void make(event)} data-testid="new-device-login">
          <TextField
            name="device-login"
            label="user name"
            value={name}
            unit=""
            error={undefined}
            onInput={setName}
          />
          <button type="submit" disabled={order.busy}>
            {login ? 'Make a new secret; the old one ends' : 'Make it'}
          </button>
        </form>
      </details>
      <Problem words={order.problem ?? loaded.problem} />
    </>
  );
}

function wordsOf(login: { name: string; createdAt: string } | null): string {
  if (login === null) return 'There is none yet: no sensor can publish.';
  const since = momentWords({ atMs: Date.parse(login.createdAt), ...reader.value });
  return `Sensors log in as "${login.name}", since ${since}. They may publish readings and status, nothing else.`;
}
