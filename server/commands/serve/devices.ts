import { systemClock as clock } from '../../adapters/system/clock.ts';
import { systemSecrets as secrets } from '../../adapters/system/secrets.ts';
import type { Settings } from '../../config.ts';
import type { Daemon } from '../../daemon/daemon.ts';
import { createDeviceService } from '../../daemon/devices/service.ts';
import type { DeviceService, Store } from '../../ports.ts';
import { type Security, urlHost } from './security.ts';

type Opening = {
  readonly daemon: Daemon;
  readonly store: Store;
  readonly secure: Security['secure'];
  readonly broker: { readonly embedded: boolean; readonly address: string };
  readonly onChange: () => void;
};

/** Where the embedded broker is reached encrypted, or null. */
export function secureAddressOf({ host }: Settings, secure: Security['secure']): string | null {
  return secure && `mqtts://${urlHost(host)}:${secure.port}`;
}

/** The devices of the installation, over what the daemon knows of them and the logins in the record. */
export function openDevices(settings: Settings, opening: Opening): DeviceService {
  const { daemon, store, secure, broker, onChange } = opening;
  const { embedded, address } = broker;
  const user = settings.outsideBroker?.username ?? null;
  return createDeviceService({
    ...daemon.devices,
    world: daemon.world,
    store,
    clock,
    secrets,
    record: store.access,
    onChange,
    onAdded: daemon.waiting.acceptIfWaiting,
    broker: { embedded, address, secureAddress: embedded ? secureAddressOf(settings, secure) : null, user },
  });
}
