import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { targetSheetSchema } from '../../../shared/model/targets.ts';
import { type OwnBus, startBroker } from '../../adapters/broker/broker.ts';
import { startHttp } from '../../adapters/http/app.ts';
import { createMeasures } from '../../adapters/metrics/metrics.ts';
import { connectDevice } from '../../adapters/mqtt/publisher.ts';
import { createPing } from '../../adapters/notify/ping.ts';
import { parquetColumns } from '../../adapters/parquet/parquet.ts';
import { createNightPdf } from '../../adapters/pdf/night.ts';
import { systemClock as clock } from '../../adapters/system/clock.ts';
import { photoFolder } from '../../adapters/system/files/photos.ts';
import { measureLoopDelay } from '../../adapters/system/loop-delay.ts';
import { createSeal } from '../../adapters/system/seal.ts';
import { createDaemon, type Daemon } from '../../daemon/daemon.ts';
import { createDemo, type Demo } from '../../daemon/demo/demo.ts';
import { PAGE_DIR } from '../../page-state.ts';
import { credentialsOf, turnedAwayTo } from '../beside.ts';
import { openKeys } from '../keys.ts';
import { recordFileIn } from '../record-file.ts';
import { openContactMethods, openOutgoing } from './contact-methods.ts';
import { openDevices } from './devices.ts';
import { type Edges, edgeFacts } from './edges.ts';
import { joinOutside, listenerAt } from './outside.ts';

const root = fileURLToPath(new URL('../../../', import.meta.url));
const TARGET_SHEET_FILE = join(root, 'seeds/targets/general-herbaceous-bottom-heat.json');
const SOURCES = join(root, 'shared/sources.md');

const readTargetSheet = () => targetSheetSchema.parse(JSON.parse(readFileSync(TARGET_SHEET_FILE, 'utf8')));

/** The daemon between its edges; what asks about it later is given its address. */
export function openDaemon(edges: Edges): Daemon {
  const { settings, log, timers, late: lateBound, keep, lifeCycle, security, outside, feed } = edges;
  const { timeZone, keepRawDays, pingUrl, publicUrl } = settings;
  const { record, emergency } = lifeCycle;
  const keys = openKeys({ store: emergency.store, keep, settings, log, nowMs: clock.nowMs() });
  const sendHttp = openOutgoing();
  const daemon = createDaemon({
    store: record,
    emergency,
    clock,
    timers,
    log,
    feed,
    timeZone,
    keepRawDays,
    keep,
    columns: parquetColumns,
    measures: createMeasures(),
    photos: photoFolder(recordFileIn(settings.dataDir)),
    targetSheet: readTargetSheet(),
    ways: openContactMethods(settings, { keys, sendHttp, closed: security.access.closed }),
    links: { publicUrl, seal: createSeal(keys['link-key']) },
    ping: pingUrl === null ? null : createPing(pingUrl, { sendHttp, timers }),
    edges: () => edgeFacts(edges),
    sourceText: readSources(),
    loopDelays: measureLoopDelay(timers),
    node: process.versions.node,
    onFilters: (filters) => lateBound.want(filters),
    onLogins: () => lateBound.recheck(),
    listenAt: outside === null ? null : listenerAt(outside),
    unreadSource: () => lateBound.misspelt?.state() ?? (outside === null ? 'embedded' : 'away'),
  });
  lateBound.turnedAway = turnedAwayTo(daemon);
  lateBound.mayForget = daemon.mayForget;
  return daemon;
}

/** The bibliography, by key. */
function readSources(): (key: string) => string {
  const lines = readFileSync(SOURCES, 'utf8').matchAll(/^- \[([A-Z0-9-]+)\] (.+)$/gm);
  const texts = new Map([...lines].map(([, key = '', text = '']) => [key, text]));
  return (key) => texts.get(key) ?? key;
}

/** The demo, whose devices come to the broker as others do. */
export function openDemo(
  edges: Edges,
  { world, placeChanged, alarmChanged, batches, findings }: Daemon,
): Demo {
  const { settings, log, timers, late: lateBound, keep, lifeCycle, security, outside } = edges;
  const demo = createDemo({
    world,
    store: lifeCycle.emergency.store,
    targetSheet: readTargetSheet(),
    clock,
    timers,
    log,
    keep,
    placeChanged,
    alarmChanged,
    batches,
    findings,
    timeZone: settings.timeZone,
    connect: () => connectDevice(outside === null ? security.ownDevice : credentialsOf(outside)),
  });
  lateBound.demo = demo;
  return demo;
}

/** Serves the page and the interface, and what is sent to pages live. */
export async function openHttp(edges: Edges, { daemon, demo }: { daemon: Daemon; demo: Demo }) {
  const { settings, log, timers, limits, late: lateBound, lifeCycle, security, broker, feed } = edges;
  const { queries, people, checks, sheets, batches, diary, cuttings, exchange, foreignMessages } = daemon;
  const { waiting, archive, status } = daemon;
  const { access, authGuard, tls, secure } = security;
  const onChange = () => lateBound.recheck();
  const server = await startHttp({
    host: settings.host,
    port: settings.httpPort,
    pageDir: PAGE_DIR,
    nowMs: clock.nowMs,
    nightPdf: createNightPdf(),
    queries,
    people,
    checks,
    batches,
    sheets,
    diary,
    cuttings,
    exchange,
    foreignMessages,
    waiting,
    archive,
    status,
    log,
    access,
    authGuard,
    tls,
    limits,
    timers,
    orders: { ...daemon.orders, startDemo: demo.start, removeDemo: demo.remove },
    backups: lifeCycle.backups,
    devices: openDevices(settings, { daemon, store: lifeCycle.emergency.store, secure, broker, onChange }),
    metricsToken: settings.metricsToken,
    trustedProxies: settings.trustedProxies,
    turnedAway: lateBound.turnedAway,
  });
  feed.attach(server, queries);
  return server;
}

/** Opens the embedded broker, or joins the outside one. */
export async function openBus(edges: Edges, daemon: Daemon): Promise<OwnBus> {
  const { log, timers, late: lateBound, keep, outside } = edges;
  if (outside === null) return startOwn(edges, daemon);
  const bus = joinOutside({ broker: outside, inbox: daemon.inbox, clock, timers, log }, keep);
  lateBound.want = bus.want;
  return { ...bus, recheck: () => undefined };
}

function startOwn({ settings, security, log, timers, limits }: Edges, { inbox, foreign, devices }: Daemon) {
  const { host, mqttPort: port } = settings;
  return startBroker({
    host,
    port,
    secure: security.secure,
    inbox,
    clock,
    log,
    gateway: security.gateway,
    foreign,
    watch: devices.presence.gateway,
    timers,
    limits,
  });
}
