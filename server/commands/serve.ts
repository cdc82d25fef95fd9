import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import packageFile from '../../package.json' with { type: 'json' };
import { targetSheetSchema } from '../../shared/model/targets.ts';
import { startBroker } from '../adapters/broker/broker.ts';
import { isOwnHost, isOwnOrigin, startHttp } from '../adapters/http/app.ts';
import { createFeed } from '../adapters/live/feed.ts';
import { joinBroker, type OutsideBroker, withoutSecrets } from '../adapters/mqtt/client.ts';
import { connectDevice } from '../adapters/mqtt/publisher.ts';
import { createWebhook } from '../adapters/notify/webhook.ts';
import { openStore } from '../adapters/sqlite/store.ts';
import { systemClock, systemTimers } from '../adapters/system/clock.ts';
import { fileKeep, openDataDir, readNamedFile } from '../adapters/system/files.ts';
import { createLog } from '../adapters/system/log.ts';
import type { Settings } from '../config.ts';
import { createDaemon } from '../daemon/daemon.ts';
import { createDemo, type Demo } from '../daemon/demo.ts';
import type { Bus } from '../ports.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const SHEET = join(root, 'seeds/targets/general-herbaceous-bottom-heat.json');
const CLIENT_ID_KEPT_AS = 'mqtt-client-id';

/**
 * Starts the daemon with all its edges and says where it is.
 * @throws Fault when a setting, a port, the data folder or the database stands in the way
 */
export async function serve(settings: Settings, { demo: withDemo }: { demo: boolean }) {
  openDataDir(settings.dataDir);
  const log = createLog('info');
  const clock = systemClock;
  const timers = systemTimers;
  const { timeZone, host } = settings;
  const store = openStore({ file: join(settings.dataDir, 'strikewell.db'), nowMs: clock.nowMs() });
  const keep = fileKeep(settings.dataDir);
  const sheet = targetSheetSchema.parse(JSON.parse(readFileSync(SHEET, 'utf8')));
  const outside = outsideBroker(settings, () => clientId(keep));
  const deviceBroker = outside ?? { url: `mqtt://${urlHost(host)}:${settings.mqttPort}` };
  const { url: webhookUrl } = { url: settings.webhookUrl };
  const feed = createFeed({
    clock,
    timers,
    log,
    admits: ({ host: asked, origin }) =>
      isOwnHost(asked) && (origin === undefined || isOwnOrigin(origin, asked)),
  });
  let bus: Bus | null = null;
  let demo: Demo | null = null;
  const daemon = createDaemon({
    store,
    clock,
    timers,
    log,
    feed,
    sheet,
    timeZone,
    notifier: webhookUrl === null ? null : createWebhook({ url: webhookUrl, nowMs: clock.nowMs }),
    edges: () => ({
      version: packageFile.version,
      broker: {
        embedded: outside === null,
        address: withoutSecrets(deviceBroker.url),
        connected: bus?.connected() ?? false,
      },
      demo: demo?.progress() ?? { running: false, progressPct: null },
    }),
  });
  demo = createDemo({
    world: daemon.world,
    store,
    sheet,
    clock,
    timers,
    log,
    keep,
    timeZone,
    connect: () => connectDevice(credentialsOf(deviceBroker)),
    placeChanged: daemon.placeChanged,
  });
  const { startDemo, removeDemo } = { startDemo: demo.start, removeDemo: demo.remove };
  const server = await startHttp({
    host,
    port: settings.httpPort,
    queries: daemon.queries,
    orders: { ...daemon.orders, startDemo, removeDemo },
    log,
    pageDir: join(root, 'web/dist'),
    nowMs: clock.nowMs,
  });
  feed.attach(server, daemon.queries);
  bus =
    outside === null
      ? await startBroker({ host, port: settings.mqttPort, inbox: daemon.inbox, clock, log })
      : joinBroker({ broker: outside, inbox: daemon.inbox, clock, timers, log });
  daemon.start(bus);
  if (withDemo) demo.start();
  else demo.resume();
  announce(settings, deviceBroker.url, outside === null);

  return {
    async stop() {
      await demo.stop();
      daemon.stop();
      feed.close();
      await bus.close();
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      store.close();
    },
  };
}

function announce(settings: Settings, brokerUrl: string, embedded: boolean): void {
  process.stdout.write(
    `Strikewell watches. Page: http://${urlHost(settings.host)}:${settings.httpPort}/  ` +
      `${embedded ? 'Broker' : 'Your broker'}: ${withoutSecrets(brokerUrl)}  Days and nights in ${settings.timeZone}.\n`,
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

function credentialsOf(broker: { url: string } | OutsideBroker) {
  const { url } = broker;
  if (!('clientId' in broker)) return { url };
  const { username, password, ca } = broker;
  return {
    url,
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    ...(ca === undefined ? {} : { ca }),
  };
}

function urlHost(host: string): string {
  return host.includes(':') ? `[${host}]` : host;
}
