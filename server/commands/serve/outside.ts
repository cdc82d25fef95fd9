import { joinBroker, type OutsideBroker, type OutsideDeps } from '../../adapters/mqtt/client.ts';
import { listenTo } from '../../adapters/mqtt/listener.ts';
import { systemClock as clock } from '../../adapters/system/clock.ts';
import { readNamedFile } from '../../adapters/system/files/files.ts';
import type { Settings } from '../../config.ts';
import type { Keep, ListenAt } from '../../ports.ts';
import { credentialsOf } from '../beside.ts';

const CLIENT_ID_KEPT_AS = 'mqtt-client-id';
const FILTERS_KEPT_AS = 'mqtt-filters';

/** The outside broker of the settings, or null where devices come to the embedded one. */
export function outsideBroker(settings: Settings, keep: Keep): OutsideBroker | null {
  const { outsideBroker: broker } = settings;
  if (broker === null) return null;
  const { url, protocolVersion, username, password, caFile } = broker;
  return {
    url,
    protocolVersion,
    clientId: clientId(keep),
    ...(username === null ? {} : { username }),
    ...(password === null ? {} : { password }),
    ...(caFile === null ? {} : { ca: readNamedFile({ key: 'STRIKEWELL_MQTT_CA_FILE', path: caFile }) }),
  };
}

/** Joins it, as the client that subscribes to readings. */
export function joinOutside(deps: Omit<OutsideDeps, 'held'>, keep: Keep) {
  return joinBroker({ ...deps, held: heldFilters(keep) });
}

/** Listens there for somebody who looks on. */
export function listenerAt(outside: OutsideBroker): ListenAt {
  return (filter, received) => listenTo(credentialsOf(outside), { filter, nowMs: clock.nowMs, received });
}

/** What the broker may hold for us beside the contract's topics. */
function heldFilters(keep: Keep): OutsideDeps['held'] {
  return {
    read: () => {
      const filters: unknown = JSON.parse(keep.read(FILTERS_KEPT_AS) ?? '[]');
      return Array.isArray(filters) ? filters.filter((filter) => typeof filter === 'string') : [];
    },
    write: (filters) => keep.write(FILTERS_KEPT_AS, JSON.stringify(filters)),
  };
}

/** One name for the life of the data folder: the broker keeps our session under it. */
function clientId(keep: Keep): string {
  const kept = keep.read(CLIENT_ID_KEPT_AS);
  if (kept !== null) return kept;
  const id = `strikewell-${crypto.randomUUID().slice(0, 8)}`;
  keep.write(CLIENT_ID_KEPT_AS, id);
  return id;
}
