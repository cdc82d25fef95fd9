import { Fault } from '../../../shared/faults.ts';
import type { DeviceState } from '../../../shared/model/probes/device.ts';
import type { DevicesAnswer, NewDevice } from '../../../shared/wire/probes/device.ts';
import { BENCH_DEVICE, DOME_DEVICE } from '../../domain/demo/scenario.ts';
import type { AccessRecord, DeviceService, KeptDevice, Secrets } from '../../ports.ts';
import { HOUSE_LOGIN } from '../access/broker-gateway.ts';
import { createRows, type RowDeps } from './rows.ts';

/** Most devices with a login of their own. */
export const MAX_OWN_LOGINS = 1_000;

type DeviceServiceDeps = RowDeps & {
  readonly record: AccessRecord;
  readonly secrets: Secrets;
  readonly broker: DevicesAnswer['broker'];
  /** called with a device that was given a login of its own: one that waits is accepted by that */
  readonly onAdded?: (device: string) => void;
  /** called when a device may no longer what it could before, or may again */
  readonly onChange: () => void;
};

/** The devices of the installation: what is known of each, and the logins of their own. */
export function createDeviceService(deps: DeviceServiceDeps): DeviceService {
  const { record, secrets, clock, presence, broker, onChange, onAdded = () => undefined } = deps;
  const rows = createRows(deps);
  const withSecret = (device: string, keep: (fingerprint: string) => void): NewDevice => {
    const secret = secrets.token();
    keep(secrets.fingerprint(secret));
    onChange();
    return { device, secret };
  };
  return {
    answer: () => ({ devices: rows(record.devices()), broker, turnedAway: presence.turnedAway() }),
    add(device) {
      requireFree(device, record);
      const made = withSecret(device, (fingerprint) =>
        record.addDevice({ name: device, fingerprint, createdMs: clock.nowMs() }),
      );
      onAdded(device);
      return made;
    },
    rotate(device) {
      requireDevice(device, record);
      return withSecret(device, (fingerprint) =>
        record.setDeviceSecret({ name: device, fingerprint, secretMs: clock.nowMs() }),
      );
    },
    setState(device: string, state: DeviceState) {
      if (requireDevice(device, record).state === state) return;
      record.setDeviceState({ name: device, state, stateMs: clock.nowMs() });
      onChange();
    },
  };
}

function requireDevice(device: string, record: AccessRecord): KeptDevice {
  const kept = record.device(device);
  if (kept !== null) return kept;
  const message = `The device "${device.slice(0, 64)}" has no login of its own; GET /api/v1/devices lists them.`;
  throw new Fault({ code: 'not-found', message });
}

function requireFree(device: string, record: AccessRecord): void {
  const why = whyTaken(device, record);
  if (why !== null) throw new Fault({ code: 'bad-request', message: why, details: { field: 'device' } });
}

function whyTaken(device: string, record: AccessRecord): string | null {
  const kept = record.device(device);
  if (kept?.state === 'retired') return `"${device}" is retired: enable it again, and make a new secret.`;
  if (kept !== null) return `"${device}" has a login of its own already: make a new secret for it.`;
  if ([HOUSE_LOGIN, record.deviceLogin()?.name].includes(device))
    return `"${device}" is the name of the login that sensors share: choose another.`;
  if ([BENCH_DEVICE, DOME_DEVICE].includes(device))
    return `"${device}" is a device of the demo: choose another name.`;
  if (record.devices().length >= MAX_OWN_LOGINS) return `There are ${MAX_OWN_LOGINS} devices already.`;
  return null;
}
