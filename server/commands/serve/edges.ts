import packageFile from '../../../package.json' with { type: 'json' };
import type { PageState } from '../../../shared/wire/http.ts';
import { createFeed } from '../../adapters/live/feed.ts';
import { type OutsideBroker, withoutSecrets } from '../../adapters/mqtt/client.ts';
import { systemClock as clock, systemTimers } from '../../adapters/system/clock.ts';
import { fileKeep } from '../../adapters/system/files/files.ts';
import { makePrivate, privacyLines } from '../../adapters/system/files/private-files.ts';
import { createLog } from '../../adapters/system/log.ts';
import type { Settings } from '../../config.ts';
import { type HeldNotes, heldNotes } from '../../daemon/emergency/held-notes.ts';
import { logOnce } from '../../daemon/emergency/log-once.ts';
import { guardedTimers } from '../../daemon/guard/guard.ts';
import type { Limits } from '../../domain/limits/table.ts';
import { pageState } from '../../page-state.ts';
import type { Log, Reserve, Timers } from '../../ports.ts';
import { secureAddressOf } from './devices.ts';
import { type LateBound, nothingYet } from './late-bound.ts';
import { limitsHere } from './limits.ts';
import { outsideBroker } from './outside.ts';
import { openRecordLifeCycle, type RecordLifeCycle } from './record-life-cycle.ts';
import { openSecurity, type Security, urlHost } from './security.ts';

/** All that the daemon stands on: its record, who may come in, the broker, the pages. */
export type Edges = {
  readonly settings: Settings;
  readonly log: Log;
  readonly timers: Timers;
  readonly limits: Limits;
  readonly late: LateBound;
  readonly keep: HeldNotes;
  readonly lifeCycle: RecordLifeCycle;
  readonly security: Security;
  /** null: devices come to the embedded broker */
  readonly outside: OutsideBroker | null;
  readonly broker: { readonly address: string; readonly embedded: boolean };
  readonly feed: ReturnType<typeof createFeed>;
  /** whether the page is built, as it was at the start */
  readonly page: PageState;
};

/**
 * Opens them in order, each resting on those before it.
 * @throws Fault when a setting, the data folder or the database stands in the way
 */
export function openEdges(settings: Settings, reserve: Reserve): Edges {
  const log = createLog(settings.logLevel, { forJournal: settings.underJournal });
  keepPrivate(settings, log);
  const timers = guardedTimers(systemTimers, logOnce(log, 'a turn failed; the watch goes on').say);
  const lateBound = nothingYet();
  const mayForget = () => lateBound.mayForget();
  const lifeCycle = openRecordLifeCycle(settings, { log, timers, reserve, mayDrop: mayForget });
  const record = lifeCycle.emergency.store.access;
  const security = openSecurity(settings, { record, log, onChange: () => lateBound.recheck(), mayForget });
  const keep = heldNotes(fileKeep(settings.dataDir), log);
  const outside = outsideBroker(settings, keep);
  const address = withoutSecrets(outside?.url ?? embeddedUrl(settings, security));
  const broker = { address, embedded: outside === null };
  const limits = limitsHere(log);
  const feed = createFeed({
    clock,
    timers,
    log,
    limits,
    admits: security.authGuard.admits,
    turnedAway: (why, address) => lateBound.turnedAway(why, address),
  });
  return {
    settings,
    log,
    timers,
    limits,
    late: lateBound,
    keep,
    lifeCycle,
    security,
    outside,
    broker,
    feed,
    page: pageState(),
  };
}

function keepPrivate({ dataDir }: Settings, log: Log): void {
  const { changed, open } = privacyLines(makePrivate(dataDir));
  if (changed !== null) log.info(changed);
  if (open !== null) log.warn(open);
}

/** Where devices reach the embedded broker: encrypted, where the plain port is closed. */
function embeddedUrl(settings: Settings, { secure }: Security): string {
  const { host, mqttPort } = settings;
  return mqttPort === null
    ? (secureAddressOf(settings, secure) ?? '')
    : `mqtt://${urlHost(host)}:${mqttPort}`;
}

/** What the edges know of the installation, as of now. */
export function edgeFacts({ late: lateBound, broker, lifeCycle, page }: Edges) {
  const { bus, demo } = lateBound;
  return {
    version: packageFile.version,
    broker: { ...broker, connected: bus?.connected() ?? false },
    demo: demo?.progress() ?? { running: false, progressPct: null },
    ...lifeCycle.facts(),
    page,
  };
}
