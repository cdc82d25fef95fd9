import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import packageFile from '../../package.json' with { type: 'json' };
import { targetSheetSchema } from '../../shared/model/targets.ts';
import { startBroker } from '../adapters/broker/broker.ts';
import { startHttp } from '../adapters/http/app.ts';
import { createFeed } from '../adapters/live/feed.ts';
import { joinBroker, type OutsideBroker, type OutsideDeps, withoutSecrets } from '../adapters/mqtt/client.ts';
import { listenTo } from '../adapters/mqtt/listener.ts';
import { connectDevice } from '../adapters/mqtt/publisher.ts';
import { createPing } from '../adapters/notify/ping.ts';
import { systemClock as clock, systemTimers as timers } from '../adapters/system/clock.ts';
import { fileKeep, openDataDir, readNamedFile } from '../adapters/system/files.ts';
import { keptSecret } from '../adapters/system/kept-secret.ts';
import { lockDataDir } from '../adapters/system/lock.ts';
import { createLog } from '../adapters/system/log.ts';
import { createSeal } from '../adapters/system/seal.ts';
import type { Settings } from '../config.ts';
import { createDaemon, type Daemon } from '../daemon/daemon.ts';
import { createDemo, type Demo } from '../daemon/demo.ts';
import type { Bus, Keep, ListenAt, Log } from '../ports.ts';
import type { Going } from './command.ts';
import { openDevices, secureAddressOf } from './devices.ts';
import { type Front, openFront, urlHost } from './front.ts';
import { openKeeping } from './keeping.ts';
import { openWays } from './ways.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const SHEET = join(root, 'seeds/targets/general-herbaceous-bottom-heat.json');
const SOURCES = join(root, 'shared/sources.md');
const CLIENT_ID_KEPT_AS = 'mqtt-client-id';
const LINK_KEY_KEPT_AS = 'link-key';
const FILTERS_KEPT_AS = 'mqtt-filters';

/**
 * Starts the daemon with all its edges and says where it is.
 * @throws Fault when a setting, a port, the data folder or the database stands in the way
 */
export async function serve(settings: Settings, { demo }: { demo: boolean }): Promise<Going> {
  openDataDir(settings.dataDir);
  const lock = lockDataDir(settings.dataDir);
  try {
    return await serveLocked(settings, { demo, lock });
  } catch (cause) {
    lock.release();
    throw cause;
  }
}

type Serving = { readonly demo: boolean; readonly lock: { release(): void } };

async function serveLocked(settings: Settings, { demo: withDemo, lock }: Serving): Promise<Going> {
  const log = createLog('info');
  const { timeZone, host, keepRawDays } = settings;
  const keeping = openKeeping(settings, log);
  const { store, backups } = keeping;
  const late: Late = { bus: null, demo: null, recheck: () => undefined, want: () => undefined };
  const front = openFront(settings, { record: store.access, log, onChange: () => late.recheck() });
  const keep = fileKeep(settings.dataDir);
  const sheet = targetSheetSchema.parse(JSON.parse(readFileSync(SHEET, 'utf8')));
  const outside = outsideBroker(settings, () => clientId(keep));
  const deviceBroker = outside ?? { url: `mqtt://${urlHost(host)}:${settings.mqttPort}` };
  const feed = createFeed({ clock, timers, log, admits: front.doorkeeper.admits });
  const broker = { address: withoutSecrets(deviceBroker.url), embedded: outside === null };
  const edges = () => ({ ...edgeFacts(late, broker), ...keeping.facts() });
  const ways = openWays(settings, keep);
  const ping = settings.pingUrl === null ? null : createPing(settings.pingUrl);
  const links = { publicUrl: settings.publicUrl, seal: createSeal(keptSecret(keep, LINK_KEY_KEPT_AS)) };
  const sourceText = readSources();
  const daemon = createDaemon({
    ...{ store, clock, timers, log, feed, sheet, timeZone, keepRawDays },
    ...{ ways, links, edges, sourceText, keep, ping },
    onFilters: (filters) => late.want(filters),
    listenAt: outside === null ? null : listenerAt(outside),
  });
  const { world, placeChanged, inbox, queries, people, checks, exchange, hearing } = daemon;
  const connect = () => connectDevice(outside === null ? front.ownDevice : credentialsOf(outside));
  const demo = createDemo({ world, store, sheet, clock, timers, log, keep, timeZone, connect, placeChanged });
  late.demo = demo;
  const orders = { ...daemon.orders, startDemo: demo.start, removeDemo: demo.remove };
  const pageDir = join(root, 'web/dist');
  const { httpPort: port } = settings;
  const { nowMs } = clock;
  const { access, doorkeeper, tls, secure } = front;
  const onChange = () => late.recheck();
  const devices = openDevices(settings, { daemon, store, secure, broker, onChange });
  const server = await startHttp({
    ...{ host, port, queries, orders, people, checks, backups, exchange, log, pageDir, nowMs },
    ...{ access, doorkeeper, tls, hearing, devices },
  });
  feed.attach(server, queries);
  const bus =
    outside === null
      ? await startOwn({ settings, daemon, front, log })
      : joinOutside({ broker: outside, inbox, clock, timers, log, held: heldFilters(keep) }, late);
  late.recheck = () => {
    feed.recheck();
    bus.recheck();
  };
  late.bus = bus;
  daemon.start(bus);
  if (withDemo) demo.start();
  else demo.resume();
  keeping.begin();
  announce(settings, { broker: deviceBroker.url, embedded: outside === null, secure });

  const stop = async () => {
    await demo.stop();
    await keeping.stop();
    daemon.stop();
    feed.close();
    await bus.close();
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    front.settled();
    store.close();
    lock.release();
  };
  return { stop, broken: keeping.broken(stop) };
}

/** Edges that exist only after the daemon that asks about them. */
type Late = {
  bus: Bus | null;
  demo: Demo | null;
  recheck: () => void;
  want: (filters: readonly string[]) => void;
};

type OwnDeps = {
  readonly settings: Settings;
  readonly daemon: Daemon;
  readonly front: Front;
  readonly log: Log;
};

function startOwn({ settings, daemon, front, log }: OwnDeps) {
  const { host, mqttPort: port } = settings;
  const { inbox, foreign, devices } = daemon;
  return startBroker({
    ...{ host, port, secure: front.secure, inbox, clock, log, door: front.door, foreign },
    ...{ watch: devices.presence.door, every: timers.every },
  });
}

function joinOutside(deps: OutsideDeps, late: Late): Bus & { recheck(): void } {
  const bus = joinBroker(deps);
  late.want = bus.want;
  return { ...bus, recheck: () => undefined };
}

function listenerAt(outside: OutsideBroker): ListenAt {
  return (filter, heard) => listenTo(credentialsOf(outside), { filter, nowMs: clock.nowMs, heard });
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

function edgeFacts({ bus, demo }: Late, broker: { address: string; embedded: boolean }) {
  return {
    version: packageFile.version,
    broker: { ...broker, connected: bus?.connected() ?? false },
    demo: demo?.progress() ?? { running: false, progressPct: null },
  };
}

/** The bibliography, by key. */
function readSources(): (key: string) => string {
  const lines = readFileSync(SOURCES, 'utf8').matchAll(/^- \[([A-Z0-9-]+)\] (.+)$/gm);
  const texts = new Map([...lines].map(([, key = '', text = '']) => [key, text]));
  return (key) => texts.get(key) ?? key;
}

type Announced = Pick<Front, 'secure'> & { readonly broker: string; readonly embedded: boolean };

function announce(settings: Settings, { broker, embedded, secure }: Announced): void {
  const { tls, host, httpPort, timeZone } = settings;
  const besides = embedded && secure ? ` and ${secureAddressOf(settings, secure)}` : '';
  process.stdout.write(
    `Strikewell watches. Page: ${tls === null ? 'http' : 'https'}://${urlHost(host)}:${httpPort}/  ` +
      `${embedded ? 'Broker' : 'Your broker'}: ${withoutSecrets(broker)}${besides}  Days and nights in ${timeZone}.\n`,
  );
}

function outsideBroker(settings: Settings, clientIdOf: () => string): OutsideBroker | null {
  const { outsideBroker: broker } = settings;
  if (broker === null) return null;
  const { url, protocolVersion, username, password, caFile } = broker;
  return {
    url,
    protocolVersion,
    clientId: clientIdOf(),
    ...(username === null ? {} : { username }),
    ...(password === null ? {} : { password }),
    ...(caFile === null ? {} : { ca: readNamedFile({ key: 'STRIKEWELL_MQTT_CA_FILE', path: caFile }) }),
  };
}

/** One name for the life of the data folder: the broker keeps our session under it. */
function clientId(keep: ReturnType<typeof fileKeep>): string {
  const kept = keep.read(CLIENT_ID_KEPT_AS);
  if (kept !== null) return kept;
  const id = `strikewell-${crypto.randomUUID().slice(0, 8)}`;
  keep.write(CLIENT_ID_KEPT_AS, id);
  return id;
}

function credentialsOf({ url, username, password, ca }: OutsideBroker) {
  return {
    url,
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    ...(ca === undefined ? {} : { ca }),
  };
}
