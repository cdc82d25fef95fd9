import type { startHttp } from '../../adapters/http/app.ts';
import { reserveFile } from '../../adapters/system/files/reserve.ts';
import { goOnWhatever } from '../../adapters/system/last-resort.ts';
import { serviceManager } from '../../adapters/system/service-manager.ts';
import type { Settings } from '../../config.ts';
import type { Daemon } from '../../daemon/daemon.ts';
import type { Demo } from '../../daemon/demo/demo.ts';
import type { Bus, Log, Reserve } from '../../ports.ts';
import { listenBeside } from '../beside.ts';
import type { Running } from '../command.ts';
import { secureAddressOf } from './devices.ts';
import { type Edges, openEdges } from './edges.ts';
import { takeDataDir } from './kept-record.ts';
import { urlHost } from './security.ts';
import { saysItLives } from './watchdog.ts';
import { openBus, openDaemon, openDemo, openHttp } from './wiring.ts';

/** How often notes that could not be written are tried again, ms. */
const NOTES_AGAIN_MS = 5_000;

/**
 * Starts the daemon with all its edges and says where it is.
 * @throws Fault when a setting, a port, the data folder or the database stands in the way
 */
export async function serve(settings: Settings, { demo }: { demo: boolean }): Promise<Running> {
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

async function serveLocked(settings: Settings, { demo: withDemo, lock, reserve }: Serving): Promise<Running> {
  const edges = openEdges(settings, reserve);
  const { log, timers, late: lateBound, keep, lifeCycle, outside, feed } = edges;
  const daemon = openDaemon(edges);
  const demo = openDemo(edges, daemon);
  const server = await openHttp(edges, { daemon, demo });
  const bus = await openBus(edges, daemon);
  lateBound.recheck = () => {
    feed.recheck();
    bus.recheck();
  };
  lateBound.bus = bus;
  lateBound.misspelt = outside === null ? null : listenBeside(outside, daemon, log);
  lifeCycle.emergency.onChange(bus.recordWritable);
  daemon.start(bus);
  beginDemo(demo, { withDemo, log });
  const stopKeeping = timers.every(NOTES_AGAIN_MS, keep.turn);
  lifeCycle.begin();
  goOnWhatever(log);
  announce(edges);

  const manager = serviceManager({ socket: settings.notifySocket, log });
  const stopManager = saysItLives({ manager, dead: daemon.dead, timers, log });
  const stopNotes = () => {
    manager.stopping();
    stopManager();
    stopKeeping();
  };
  const stop = stopping(edges, { demo, daemon, bus, server, lock, stopNotes });
  return { stop, broken: lifeCycle.broken(stop) };
}

type Stopping = {
  readonly demo: Demo;
  readonly daemon: Daemon;
  readonly bus: Bus;
  readonly server: Awaited<ReturnType<typeof startHttp>>;
  readonly lock: Serving['lock'];
  readonly stopNotes: () => void;
};

/** Ends all that was begun, in good order. */
function stopping(
  { lifeCycle, feed, late: lateBound, security }: Edges,
  { demo, daemon, bus, server, lock, stopNotes }: Stopping,
): () => Promise<void> {
  return async () => {
    stopNotes();
    await demo.stop();
    await lifeCycle.stop();
    daemon.stop();
    await daemon.ended();
    feed.close();
    await lateBound.misspelt?.close();
    await bus.close();
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    security.settled();
    lifeCycle.emergency.store.close();
    lock.release();
  };
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

function announce({ settings, security, broker }: Edges): void {
  const { tls, host, httpPort, mqttPort, timeZone } = settings;
  const secure = secureAddressOf(settings, security.secure);
  const besides = broker.embedded && secure !== null && mqttPort !== null ? ` and ${secure}` : '';
  process.stdout.write(
    `Strikewell watches. Page: ${tls === null ? 'http' : 'https'}://${urlHost(host)}:${httpPort}/  ` +
      `${broker.embedded ? 'Broker' : 'Your broker'}: ${broker.address}${besides}  Days and nights in ${timeZone}.\n`,
  );
}
