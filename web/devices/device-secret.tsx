import { useEffect, useRef } from 'preact/hooks';
import type { DevicesAnswer, NewDevice } from '../../shared/wire/probes/device.ts';
import { Copyable } from '../common/copyable.tsx';
import { deviceHeader, deviceJson, isOnlyHere, namesOnlyHere, ownDeviceSettings } from './device-settings.ts';
import { aclLines, CONF_LINES, daemonAclLines, passwordLine, removeLine } from './mosquitto.ts';

type Broker = DevicesAnswer['broker'];

/** The secret of a device, shown this once, with everything to paste. */
export function DeviceSecret(props: { made: NewDevice; broker: Broker; hide: () => void }) {
  const { made, broker, hide } = props;
  const at = { ...broker, pageHost: location.hostname };
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.focus(), [made]);
  return (
    <div class="made" data-testid="device-secret" ref={box} tabIndex={-1}>
      <p role="status">
        <b>{made.device}</b> has a secret of its own. It is shown this once: copy it into the device now.
      </p>
      <Copyable label="Settings of the device" lines={ownDeviceSettings(made, at)} />
      <details>
        <summary>As settings.h for a sketch</summary>
        <Copyable label="settings.h, beside node.ino" lines={deviceHeader(made, at)} />
      </details>
      <details>
        <summary>As settings.json for MicroPython</summary>
        <Copyable
          label="settings.json, beside main.py; fill in Wi-Fi and pins"
          lines={deviceJson(made, at)}
        />
        <p>
          <a
            download="settings.json"
            href={`data:application/json,${encodeURIComponent(deviceJson(made, at))}`}
          >
            Download settings.json
          </a>
        </p>
      </details>
      {!broker.embedded && (
        <Copyable label="On the machine of your Mosquitto, as root" lines={passwordLine(made)} />
      )}
      {broker.embedded && isOnlyHere(broker.address) && (
        <p class="quiet">
          The broker listens on this machine only. Set <code>STRIKEWELL_HOST</code> to an address of it, and
          start again, for devices on the network.
        </p>
      )}
      {!isOnlyHere(broker.address) && namesOnlyHere(at) && (
        <p class="quiet">
          Put the address of this machine on your network in the place of the host: you opened this page by
          one that no other machine reaches.
        </p>
      )}
      <p>
        <button type="button" onClick={hide}>
          I have copied it: hide it
        </button>
      </p>
    </div>
  );
}

/** What an outside Mosquitto must be configured with for its devices; that it keeps to it is its affair, not the daemon's. */
export function MosquittoLines({ devices, user }: { devices: readonly string[]; user: string | null }) {
  const acl = [daemonAclLines(user ?? 'strikewell'), ...devices.map(aclLines)].join('\n\n');
  return (
    <section data-testid="mosquitto">
      <h2>At your Mosquitto</h2>
      <p>
        Your broker decides who may publish there: secrets made here count once its password file holds them,
        and a device that is disabled or retired here must be taken out there. Both files must be there
        before, readable by Mosquitto alone. Then have it read them again: <code>kill -HUP</code> with its
        process id, or restart it.
      </p>
      <Copyable label="mosquitto.conf" lines={CONF_LINES} />
      <Copyable label="/etc/mosquitto/acl" lines={acl} />
      <details>
        <summary>Take a device out</summary>
        <Copyable label="As root, with its name" lines={removeLine(devices[0] ?? 'bench-1')} />
      </details>
      {user === null && (
        <p class="quiet">
          Strikewell itself needs a user there too: set <code>STRIKEWELL_MQTT_USERNAME</code> and{' '}
          <code>STRIKEWELL_MQTT_PASSWORD</code>.
        </p>
      )}
    </section>
  );
}
