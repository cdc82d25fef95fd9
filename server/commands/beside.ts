import type { TurnedAwayWhy } from '../../shared/wire/probes/device.ts';
import type { OutsideBroker } from '../adapters/mqtt/client.ts';
import { listenForMisspelt, type MisspeltListener } from '../adapters/mqtt/misspelt.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import type { Daemon } from '../daemon/daemon.ts';
import type { Log } from '../ports.ts';

/** What is refused at the page is counted with what is refused at the broker. */
export function turnedAwayTo({ devices }: Daemon): (why: TurnedAwayWhy, address: string) => void {
  return (why, address) =>
    devices.presence.gateway.turnedAway({
      why,
      caller: { clientId: '', device: null, address },
      name: null,
      topic: null,
    });
}

/** Sees topics at an outside broker that nothing reads; who sent a message is known to that broker alone. */
export function listenBeside(outside: OutsideBroker, { foreign }: Daemon, log: Log): MisspeltListener {
  return listenForMisspelt({
    broker: credentialsOf(outside),
    nowMs: clock.nowMs,
    log,
    received: (message) =>
      foreign.unread({ message, clientId: null, device: null, address: null, isSubscribed: true }),
  });
}

/** How to join an outside broker as another client. */
export function credentialsOf({ url, username, password, ca }: OutsideBroker) {
  return {
    url,
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    ...(ca === undefined ? {} : { ca }),
  };
}
