import type { RawMessage } from '../ports.ts';
import type { HouseDeps } from './deps.ts';
import { createInbox, isOfRecord } from './guard/inbox.ts';
import { type IngestContext, ingest } from './intake/ingest.ts';
import type { Touched } from './intake/touched.ts';
import { createLifecycle, type Lifecycle } from './lifecycle/lifecycle.ts';
import { requireLasting, type TakenDeps, tellAside } from './taken.ts';
import type { World } from './world/world.ts';

type Intake = Pick<TakenDeps, 'ears' | 'devices' | 'troubles'> & {
  readonly ingestContext: IngestContext;
  readonly tell: (touched: Touched) => void;
};

/** Messages in, each group in one commit; told of, and acknowledged, once that is done. */
export function openInbox(deps: HouseDeps, { ingestContext, tell, ears, devices, troubles }: Intake) {
  const { store, clockWatch, timers } = deps;
  const { world } = ingestContext;
  const take = (messages: readonly RawMessage[], over: ReadonlySet<string>) => {
    clockWatch.look();
    const touched = committed(() => ingest(messages, ingestContext, over), { deps, world });
    tell(touched);
    requireLasting(touched, store);
  };
  const setAside = (message: RawMessage, cause: unknown) =>
    tellAside(message, cause, { store, troubles, ears, devices });
  return ears.before(createInbox({ take, setAside }, timers));
}

function committed(work: () => Touched, { deps, world }: { deps: HouseDeps; world: World }): Touched {
  try {
    return deps.store.carryOn(work);
  } catch (cause) {
    world.reload();
    const error = cause instanceof Error ? cause.message : String(cause);
    const then = isOfRecord(cause) ? 'was not acknowledged' : 'is tried again one message at a time';
    deps.log.error(`a group of messages could not be stored and ${then}`, { error });
    throw cause;
  }
}

type LifecycleOf = Pick<TakenDeps, 'teller' | 'alarmChanged'> & {
  readonly ingestContext: IngestContext;
  readonly tell: (touched: Touched) => void;
};

/** Devices that wait, and what was archived or deleted. */
export function openLifecycle(
  deps: HouseDeps,
  { ingestContext, teller, alarmChanged, tell }: LifecycleOf,
): Lifecycle {
  const { store, clock, timers, log } = deps;
  return createLifecycle({
    world: ingestContext.world,
    store,
    clock,
    timers,
    log,
    alarmChanged,
    tell,
    placeChanged: teller.place,
    houseChanged: teller.house,
    loginChanged: deps.onLogins ?? (() => undefined),
    takeIn: (packs, device) =>
      ingest(packs, { ...ingestContext, accepted: { device, nowMs: clock.nowMs() } }),
  });
}
