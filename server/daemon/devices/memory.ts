import type { Clock, Log } from '../../ports.ts';
import { createDeliveries, type Deliveries } from './deliveries.ts';
import { createPresence, type Presence } from './presence.ts';

/** What devices sent, and who came and went at the broker, since the start. */
export type DeviceMemory = { readonly deliveries: Deliveries; readonly presence: Presence };

/** Remembers devices for as long as the daemon runs. */
export function rememberDevices(deps: { readonly clock: Clock; readonly log: Log }): DeviceMemory {
  const presence = createPresence(deps);
  return { presence, deliveries: createDeliveries(presence.went) };
}
