import type { DeviceLogins, KeptDevice } from '../../../ports.ts';
import type { Db } from '../database.ts';
import { refusing } from '../refusing.ts';

const DEVICE =
  'name, fingerprint, state, created_ms AS createdMs, secret_ms AS secretMs, state_ms AS stateMs FROM device';

/** The logins of single devices, in SQLite. */
export function devicesIn(db: Db): DeviceLogins {
  const all = db.prepare<[], KeptDevice>(`SELECT ${DEVICE} ORDER BY name`);
  const byName = db.prepare<[string], KeptDevice>(`SELECT ${DEVICE} WHERE name = ?`);
  const add = db.prepare<[string, string, number, number, number]>(
    "INSERT INTO device (name, fingerprint, state, created_ms, secret_ms, state_ms) VALUES (?, ?, 'enabled', ?, ?, ?)",
  );
  const setSecret = db.prepare<[string, number, string]>(
    'UPDATE device SET fingerprint = ?, secret_ms = ? WHERE name = ?',
  );
  const setState = db.prepare<[string, number, string]>(
    'UPDATE device SET state = ?, state_ms = ? WHERE name = ?',
  );
  return {
    devices: () => refusing(() => all.all()),
    device: (name) => refusing(() => byName.get(name)) ?? null,
    addDevice: ({ name, fingerprint, createdMs }) =>
      void refusing(() => add.run(name, fingerprint, createdMs, createdMs, createdMs)),
    setDeviceSecret: ({ name, fingerprint, secretMs }) =>
      void refusing(() => setSecret.run(fingerprint, secretMs, name)),
    setDeviceState: ({ name, state, stateMs }) => void refusing(() => setState.run(state, stateMs, name)),
  };
}
