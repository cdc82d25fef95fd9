import { useState } from 'preact/hooks';
import type { DevicesAnswer, NewDevice } from '../../shared/wire/probes/device.ts';
import { call } from '../api.ts';
import { WaitingSection } from '../archive/waiting.tsx';
import { TextField } from '../common/field.tsx';
import { countText } from '../common/format.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Problem } from '../common/password-field.tsx';
import { momentWords } from '../common/time.ts';
import { access } from '../settings/access.ts';
import { nowMs, reader } from '../state.ts';
import { DeviceCard } from './device-card.tsx';
import { DeviceSecret, MosquittoLines } from './device-secret.tsx';
import { inOrder, turnedAwaySum, turnedAwayWords } from './devices.ts';

const RENEW_MS = 10_000;

/** The devices of the installation: who may publish as which, how each is doing, and who was turned away. */
export function Devices() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading, reload } = useLoaded(`devices ${round}`, () => call('listDevices'));
  const [made, setMade] = useState<NewDevice | null>(null);
  return (
    <div class="plain-page devices-page broad">
      <h1>Devices</h1>
      <p>
        {value?.broker.embedded !== false &&
          'A device with a secret of its own speaks for itself alone, and nobody else can speak for it. '}
        What the probes of each tell is on the page <a href="#/probes">Probes</a>; what was archived is under{' '}
        <a href="#/archived">Archived</a>.
      </p>
      {problem && (
        <p class="problem" role="status">
          The devices cannot be listed: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading devices…</p>}
      <WaitingSection whole />
      {value && (
        <>
          <IfMay route="addDevice">
            <NewDeviceForm made={setMade} changed={reload} embedded={value.broker.embedded} />
          </IfMay>
          {made && !isRetired(made, value) && (
            <DeviceSecret made={made} broker={value.broker} hide={() => setMade(null)} />
          )}
          <Loaded answer={value} made={setMade} changed={reload} />
        </>
      )}
    </div>
  );
}

/** A secret of a device that was retired since lets nobody in: nothing is to be copied. */
function isRetired({ device }: NewDevice, { devices }: DevicesAnswer): boolean {
  return devices.find((row) => row.device === device)?.login?.state === 'retired';
}

type SummaryProps = {
  readonly answer: DevicesAnswer;
  readonly made: (device: NewDevice) => void;
  readonly changed: () => void;
};

function Loaded({ answer, made, changed }: SummaryProps) {
  const { devices, broker, turnedAway } = answer;
  const own = devices.flatMap(({ device, login }) => (login?.state === 'enabled' ? [device] : []));
  return (
    <>
      {devices.length === 0 && <p class="say">No device has reported yet, and none was added.</p>}
      <ul class="devices" data-testid="devices">
        {inOrder(devices).map((row) => (
          <DeviceCard key={row.device} row={row} embedded={broker.embedded} made={made} changed={changed} />
        ))}
      </ul>
      {broker.embedded ? (
        <TurnedAwaySection turnedAway={turnedAway} />
      ) : (
        <IfMay route="addDevice">
          <MosquittoLines devices={own} user={broker.user} />
        </IfMay>
      )}
    </>
  );
}

function NewDeviceForm({
  made,
  changed,
  embedded,
}: Pick<SummaryProps, 'made' | 'changed'> & { embedded: boolean }) {
  const order = useOrder();
  const [device, setDevice] = useState('');
  const add = async (event: Event) => {
    event.preventDefault();
    const add = () => call('addDevice', { body: { device: device.trim() } });
    if (!(await order.run(async () => made(await add())))) return;
    setDevice('');
    changed();
  };
  return (
    <form class="new-device" data-testid="new-device" onSubmit={(event) => void add(event)}>
      <TextField
        name="device"
        label="Add a device"
        value={device}
        unit=""
        placeholder="bench-1"
        hint="Its name, for good: letters, digits, - _ . The secret is made here, and shown once."
        error={undefined}
        onInput={setDevice}
      />
      <button type="submit" disabled={order.busy}>
        Add it
      </button>
      <Problem words={order.problem} />
      {embedded && access.value?.closed === false && (
        <p class="quiet">
          No <a href="#/system">owner password</a> is set: a device without a secret still needs no login.
        </p>
      )}
    </form>
  );
}

function TurnedAwaySection({ turnedAway }: Pick<DevicesAnswer, 'turnedAway'>) {
  const { total, newest } = turnedAway;
  return (
    <section data-testid="turned-away">
      <h2>Turned away</h2>
      {total === 0 ? (
        <p>Nobody since Strikewell started.</p>
      ) : (
        <>
          <p>
            {countText(total)} since Strikewell started: {turnedAwaySum(turnedAway)}. Nothing of theirs was
            stored.
          </p>
          <details>
            <summary>The newest {newest.length}</summary>
            <ol class="refused">
              {newest.map(({ at, why, clientId, name, topic, address }, index) => (
                <li key={`${at} ${index}`}>
                  <p>
                    {momentWords({ atMs: Date.parse(at), ...reader.value })} · {address} ·{' '}
                    {turnedAwayWords(why)}
                  </p>
                  <p class="quiet breakable">
                    client {clientId || '(none)'}
                    {name !== null && ` · user ${name}`}
                    {topic !== null && ` · topic ${topic}`}
                  </p>
                </li>
              ))}
            </ol>
          </details>
        </>
      )}
    </section>
  );
}
