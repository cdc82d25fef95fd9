import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import packageFile from '../../package.json' with { type: 'json' };
import { targetSheetSchema } from '../../shared/model/targets.ts';
import type { TurnedAwayWhy } from '../../shared/wire/device.ts';
import { type OwnBus, startBroker } from '../adapters/broker/broker.ts';
import { startHttp } from '../adapters/http/app.ts';
import { createFeed } from '../adapters/live/feed.ts';
import { joinBroker, type OutsideBroker, type OutsideDeps, withoutSecrets } from '../adapters/mqtt/client.ts';
import { listenTo } from '../adapters/mqtt/listener.ts';
import type { MisspeltListener } from '../adapters/mqtt/misspelt.ts';
import { connectDevice } from '../adapters/mqtt/publisher.ts';
import { createPing } from '../adapters/notify/ping.ts';
import { systemClock as clock, systemTimers } from '../adapters/system/clock.ts';
import { fileKeep, readNamedFile } from '../adapters/system/files.ts';
import { goOnWhatever } from '../adapters/system/last-resort.ts';
import { createLog } from '../adapters/system/log.ts';
import { makePrivate, privacyLines } from '../adapters/system/private-files.ts';
import { reserveFile } from '../adapters/system/reserve.ts';
import { createSeal } from '../adapters/system/seal.ts';
import type { Settings } from '../config.ts';
import { createDaemon, type Daemon } from '../daemon/daemon.ts';
import { createDemo, type Demo } from '../daemon/demo.ts';
import { guardedTimers } from '../daemon/emergency/guarded-timers.ts';
import { heldNotes } from '../daemon/emergency/held-notes.ts';
import type { Limits } from '../domain/limits/table.ts';
import { PAGE_DIR, pageState } from '../page-state.ts';
import type { Bus, Keep, ListenAt, Log, Reserve, Timers } from '../ports.ts';
import { credentialsOf, listenBeside, turnedAwayTo } from './beside.ts';
import type { Going } from './command.ts';
import { openDevices, secureAddressOf } from './devices.ts';
import { type Front, openFront, urlHost } from './front.ts';
import { openKeeping } from './keeping.ts';
import { takeDataDir } from './kept-record.ts';
import { openKeys } from './keys.ts';
import { limitsHere } from './limits.ts';
import { stopping } from './stopping.ts';
import { openOutgoing, openWays } from './ways.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const SHEET = join(root, 'seeds/targets/general-herbaceous-bottom-heat.json');
const SOURCES = join(root, 'shared/sources.md');
const CLIENT_ID_KEPT_AS = 'mqtt-client-id';
const FILTERS_KEPT_AS = 'mqtt-filters';
/** How often notes that could not be written are tried again, ms. */
const NOTES_AGAIN_MS = 5_000;

/**
 * Starts the daemon with all its edges and says where it is.
 * @throws Fault when a setting, a port, the data folder or the database stands in the way
 */
export async function serve(settings: Settings, { demo }: { demo: boolean }): Promise<Going> {
  const reserve = reserveFile(settings.dataDir);
  const lock = takeDataDir(settings.dataDir, reserve);
  try {
    return await serveLocked(settings, { demo, lock, reserve });
  } catch (cause) {
    lock.release();
    throw cause;
  }
}

type Serving = { readonly demo: boolean; readonly lock: { release(): void }; readonly reserve: Reserve };

async function serveLocked(settings: Settings, { demo: withDemo, lock, reserve }: Serving): Promise<Going> {
  const log = createLog('info');
  keepPrivate(settings, log);
  const { timeZone, host, keepRawDays } = settings;
  const timers = guardedTimers(systemTimers, log);
  const keeping = openKeeping(settings, { log, timers, reserve });
  const { record, emergency, backups } = keeping;
  const { store } = emergency;
  const late: Late = { bus: null, demo: null, recheck: () => undefined, want: () => undefined, ...NOT_YET };
  const front = openFront(settings, { record: store.access, log, onChange: () => late.recheck() });
  const keep = heldNotes(fileKeep(settings.dataDir), log);
  const sheet = targetSheetSchema.parse(JSON.parse(readFileSync(SHEET, 'utf8')));
  const outside = outsideBroker(settings, () => clientId(keep));
  const deviceBroker = outside ?? { url: embeddedUrl(settings, front) };
  const limits = limitsHere(log);
  const feed = openFeed(front, { late, log, timers, limits });
  const broker = { address: withoutSecrets(deviceBroker.url), embedded: outside === null };
  const page = pageState();
  const edges = () => ({ ...edgeFacts(late, broker), ...keeping.facts(), page });
  const keys = openKeys({ store, keep, settings, log, nowMs: clock.nowMs() });
  const sendHttp = openOutgoing();
  const ways = openWays(settings, { keys, sendHttp, closed: front.access.closed });
  const ping = settings.pingUrl === null ? null : createPing(settings.pingUrl, { sendHttp, timers });
  const links = { publicUrl: settings.publicUrl, seal: createSeal(keys['link-key']) };
  const sourceText = readSources();
  const daemon = createDaemon({
    ...{ store: record, emergency, clock, timers, log, feed, sheet, timeZone, keepRawDays },
    ...{ ways, links, edges, sourceText, keep, ping },
    onFilters: (filters) => late.want(filters),
    onLogins: () => late.recheck(),
    listenAt: outside === null ? null : listenerAt(outside),
    unreadSource: () => late.misspelt?.state() ?? (outside === null ? 'embedded' : 'away'),
  });
  late.turnedAway = turnedAwayTo(daemon);
  const { world, placeChanged, inbox, queries, people, checks, exchange, hearing } = daemon;
  const { waiting, archive } = daemon;
  const connect = () => connectDevice(outside === null ? front.ownDevice : credentialsOf(outside));
  const demo = createDemo({ world, store, sheet, clock, timers, log, keep, timeZone, connect, placeChanged });
  late.demo = demo;
  const orders = { ...daemon.orders, startDemo: demo.start, removeDemo: demo.remove };
  const { httpPort: port } = settings;
  const { nowMs } = clock;
  const { access, doorkeeper, tls, secure } = front;
  const onChange = () => late.recheck();
  const devices = openDevices(settings, { daemon, store, secure, broker, onChange });
  const server = await startHttp({
    ...{ host, port, queries, orders, people, checks, backups, exchange, log, pageDir: PAGE_DIR, nowMs },
    ...{ access, doorkeeper, tls, hearing, devices, waiting, archive },
    limits,
    timers,
    trustedProxies: settings.trustedProxies,
    turnedAway: late.turnedAway,
  });
  feed.attach(server, queries);
  const bus =
    outside === null
      ? await startOwn({ settings, daemon, front, log, timers, limits })
      : joinOutside({ broker: outside, inbox, clock, timers, log, held: heldFilters(keep) }, late);
  late.recheck = () => {
    feed.recheck();
    bus.recheck();
  };
  late.bus = bus;
  late.misspelt = outside === null ? null : listenBeside(outside, daemon, log);
  emergency.onChange(bus.recordWritable);
  daemon.start(bus);
  beginDemo(demo, { withDemo, log });
  const stopNotes = timers.every(NOTES_AGAIN_MS, keep.turn);
  keeping.begin();
  goOnWhatever(log);
  announce(settings, { broker: deviceBroker.url, embedded: outside === null, secure });

  const stop = stopping({ demo, keeping, daemon, feed, late, bus, server, front, store, lock, stopNotes });
  return { stop, broken: keeping.broken(stop) };
}

type FeedDeps = { readonly late: Late; readonly log: Log; readonly timers: Timers; readonly limits: Limits };

function openFeed(front: Front, { late, log, timers, limits }: FeedDeps) {
  return createFeed({
    clock,
    timers,
    log,
    admits: front.doorkeeper.admits,
    turnedAway: (why, address) => late.turnedAway(why, address),
    limits,
  });
}

function keepPrivate({ dataDir }: Settings, log: Log): void {
  const { changed, open } = privacyLines(makePrivate(dataDir));
  if (changed !== null) log.info(changed);
  if (open !== null) log.warn(open);
}

/** The demo is left out where its places cannot be made. */
function beginDemo(demo: Demo, { withDemo, log }: { withDemo: boolean; log: Log }): void {
  try {
    if (withDemo) demo.start();
    else demo.resume();
  } catch (cause) {
    log.error('the demo was not started', { error: String(cause) });
  }
}

/** Edges that exist only after the daemon that asks about them. */
type Late = {
  bus: Bus | null;
  demo: Demo | null;
  recheck: () => void;
  want: (filters: readonly string[]) => void;
  turnedAway: (why: TurnedAwayWhy, address: string) => void;
  misspelt: MisspeltListener | null;
};

const NOT_YET = { turnedAway: () => undefined, misspelt: null };

/** Where devices reach the embedded broker: encrypted, where the plain port is closed. */
function embeddedUrl(settings: Settings, { secure }: Front): string {
  const { host, mqttPort } = settings;
  return mqttPort === null
    ? (secureAddressOf(settings, secure) ?? '')
    : `mqtt://${urlHost(host)}:${mqttPort}`;
}

type OwnDeps = {
  readonly settings: Settings;
  readonly daemon: Daemon;
  readonly front: Front;
  readonly log: Log;
  readonly timers: Timers;
  readonly limits: Limits;
};

function startOwn({ settings, daemon, front, log, timers, limits }: OwnDeps) {
  const { host, mqttPort: port } = settings;
  const { inbox, foreign, devices } = daemon;
  return startBroker({
    ...{ host, port, secure: front.secure, inbox, clock, log, door: front.door, foreign },
    watch: devices.presence.door,
    timers,
    limits,
  });
}

function joinOutside(deps: OutsideDeps, late: Late): OwnBus {
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
  const besides =
    embedded && secure && settings.mqttPort !== null ? ` and ${secureAddressOf(settings, secure)}` : '';
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
