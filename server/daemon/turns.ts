import type { Bus } from '../ports.ts';
import type { HouseDeps } from './deps.ts';
import type { ForecastService } from './forecast/forecasts.ts';
import { type createLiveness, PING_EVERY_MS } from './guard/liveness.ts';
import type { Troubles } from './guard/troubles.ts';
import type { AnnunciatorSettings } from './notify/annunciate.ts';
import { HEARTBEAT_EVERY_MS, type Publisher } from './publish/publisher.ts';
import type { Status } from './publish/status.ts';
import type { FindingsService } from './readout/findings.ts';
import { NOTE_EVERY_MS, noteRunning, sayIfDown } from './upkeep/downtime.ts';
import { startSealer } from './upkeep/sealer.ts';
import type { World } from './world/world.ts';

/** How often pages are notified of messages that are watched, ms. */
export const PAGE_EVERY_MS = 200;
/** How often time is let pass for alarms, and the topics of places go out, ms. */
const WATCH_EVERY_MS = 1_000;
const TOPICS_EVERY_MS = 10_000;
const HOUSE_EVERY_MS = 2_000;
/** How often a store that refused is tried again, ms. */
const WRITE_AGAIN_EVERY_MS = 5_000;
/** How often it is read again what memory would start from, were the disk to fail altogether, ms. */
const PROVIDE_EVERY_MS = 5 * 60_000;

type Turns = {
  readonly deps: HouseDeps;
  readonly world: World;
  readonly settings: AnnunciatorSettings;
  readonly publisher: Publisher;
  readonly findings: FindingsService;
  readonly forecasts: Pick<ForecastService, 'start'>;
  readonly liveness: ReturnType<typeof createLiveness>;
  readonly watch: () => void;
  readonly alarmChanged: (alarmId: string) => void;
  readonly troubles: Troubles;
  readonly status: Pick<Status, 'turned'>;
};

/** Everything that comes round by the clock, from now on; says first from when to when nobody watched. */
export function startTurns(bus: Bus, turns: Turns): (() => void)[] {
  const { deps, world, settings, publisher, liveness } = turns;
  const { store, clock, timers, log, timeZone, clockWatch } = deps;
  publisher.attach(bus);
  turns.status.turned();
  const down = sayIfDown({ ...deps, world, settings, setByMs: clockWatch.setBeforeMs() });
  if (down) turns.alarmChanged(down);
  const settling = () => {
    const keepRawDays = clockWatch.mayDrop() ? (deps.keepRawDays ?? null) : null;
    return { world, store, timeZone, keepRawDays, nowMs: clock.nowMs() };
  };
  return [
    startSealer({
      context: settling,
      timers,
      log,
      troubles: turns.troubles,
      maySeal: clockWatch.maySeal,
      takeBack: clockWatch.takeBack,
    }),
    turns.findings.start({ timers, log }),
    turns.forecasts.start({ timers, log }),
    timers.every(WATCH_EVERY_MS, () => {
      turns.status.turned();
      clockWatch.look();
      turns.watch();
    }),
    ...paces(publisher, deps),
    timers.every(NOTE_EVERY_MS, () => {
      noteRunning(deps);
      clockWatch.note();
    }),
    timers.every(PING_EVERY_MS, () => void liveness.turn()),
  ];
}

function paces(publisher: Publisher, { timers, emergency }: HouseDeps): (() => void)[] {
  return [
    timers.every(WRITE_AGAIN_EVERY_MS, emergency.turn),
    timers.every(PROVIDE_EVERY_MS, emergency.provide),
    publisher.stop,
    timers.every(TOPICS_EVERY_MS, publisher.topics),
    timers.every(HEARTBEAT_EVERY_MS, publisher.heartbeat),
    timers.every(HOUSE_EVERY_MS, publisher.house),
  ];
}
