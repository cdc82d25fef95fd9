import type { RawMessage } from '../ports.ts';
import { type AnnounceDeps, noteSetAside, requireLasting } from './announce.ts';
import type { HouseDeps } from './deps.ts';
import { createInbox, isOfRecord } from './guard/inbox.ts';
import { type IngestContext, ingest } from './intake/ingest.ts';
import type { Touched } from './intake/touched.ts';
import { createLifecycle, type Lifecycle } from './lifecycle/lifecycle.ts';
import type { World } from './world/world.ts';

type Intake = Pick<AnnounceDeps, 'foreign' | 'devices' | 'troubles'> & {
  readonly ingestContext: IngestContext;
  readonly announce: (touched: Touched) => void;
};

/** Messages in, each group in one commit; announced, and acknowledged, once that is done. */
export function openInbox(deps: HouseDeps, { ingestContext, announce, foreign, devices, troubles }: Intake) {
  const { store, clockWatch, timers } = deps;
  const { world } = ingestContext;
  const take = (messages: readonly RawMessage[], over: ReadonlySet<string>) => {
    clockWatch.look();
    const touched = committed(() => ingest(messages, ingestContext, over), { deps, world });
    announce(touched);
    requireLasting(touched, store);
  };
  const setAside = (message: RawMessage, cause: unknown) =>
    noteSetAside(message, cause, { store, troubles, foreign, devices });
  return foreign.before(createInbox({ take, setAside }, timers));
}

function committed(work: () => Touched, { deps, world }: { deps: HouseDeps; world: World }): Touched {
  try {
    return deps.measures.timed(() => deps.store.carryOn(work));
  } catch (cause) {
    world.reload();
    const error = cause instanceof Error ? cause.message : String(cause);
    const then = isOfRecord(cause) ? 'was not acknowledged' : 'is tried again one message at a time';
    deps.log.error(`a group of messages could not be stored and ${then}`, { error });
    throw cause;
  }
}

type LifecycleOf = Pick<AnnounceDeps, 'publisher' | 'alarmChanged'> & {
  readonly ingestContext: IngestContext;
  readonly announce: (touched: Touched) => void;
};

/** Devices that wait, and what was archived or deleted. */
export function openLifecycle(
  deps: HouseDeps,
  { ingestContext, publisher, alarmChanged, announce }: LifecycleOf,
): Lifecycle {
  const { store, clock, timers, log } = deps;
  return createLifecycle({
    world: ingestContext.world,
    store,
    clock,
    timers,
    log,
    alarmChanged,
    announce,
    placeChanged: publisher.place,
    houseChanged: publisher.house,
    loginChanged: deps.onLogins ?? (() => undefined),
    takeIn: (packs, device) =>
      ingest(packs, { ...ingestContext, accepted: { device, nowMs: clock.nowMs() } }),
  });
}
