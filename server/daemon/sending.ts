import type { HouseFacts } from '../../shared/wire/http.ts';
import type { Bus } from '../ports.ts';
import type { HouseDeps } from './deps.ts';
import { createPulse } from './guard/liveness.ts';
import { createRelay } from './notify/relay.ts';
import type { Teller } from './publish/publisher.ts';
import { createStatus } from './publish/status.ts';
import { countingFailures, nobodyReachedNow, relayTurnOf } from './relay-turn.ts';
import type { World } from './world/world.ts';

type SendingOf = {
  readonly world: World;
  readonly teller: Pick<Teller, 'alarm'>;
  readonly house: () => HouseFacts;
};

/** The way of an alarm to pages and people, and what machines are told of it: that it lives, and whether it is ready. */
export function openSending(deps: HouseDeps, { world, teller, house }: SendingOf) {
  const { store, clock, timers, log, ways } = deps;
  let attached: Bus | null = null;
  const webhookSet = ways.houseWay !== null;
  const nobodyReached = () => nobodyReachedNow({ store, webhookSet, nowMs: clock.nowMs() });
  const pulse = createPulse({ clock, log, ping: deps.ping ?? null, nobodyReached });
  const status = createStatus({ ...deps, world, house, bus: () => attached });
  const carrier = countingFailures(ways.carrier, status.failed);
  const relay = createRelay({ store, ...ways, carrier, clock, timers, log });
  const relayTurn = relayTurnOf(relay, deps, () => pulse.beat('outbox'));
  return {
    pulse,
    status,
    relay,
    relayTurn,
    alarmChanged(alarmId: string): void {
      teller.alarm(alarmId);
      relayTurn();
    },
    /** The broker is there from now on. */
    attach(bus: Bus): void {
      attached = bus;
    },
  };
}
