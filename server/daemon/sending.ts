import type { PlaceStateName } from '../../shared/harm/place-state.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import type { Bus } from '../ports.ts';
import type { HouseDeps } from './deps.ts';
import { createLiveness } from './guard/liveness.ts';
import { createRelay } from './notify/relay.ts';
import type { Publisher } from './publish/publisher.ts';
import { createStatus } from './publish/status.ts';
import { countingFailures, nobodyReachedNow, relayTurnOf } from './relay-turn.ts';
import type { World } from './world/world.ts';

type SendingOf = {
  readonly world: World;
  readonly publisher: Pick<Publisher, 'alarm'>;
  readonly house: () => HouseFacts;
  readonly stateOf: (placeId: string) => PlaceStateName;
};

/** The way of an alarm to pages and people, and what machines are sent of it: that it lives, and whether it is ready. */
export function openSending(deps: HouseDeps, { world, publisher, house, stateOf }: SendingOf) {
  const { store, clock, timers, log, ways: methods } = deps;
  let attached: Bus | null = null;
  const webhookSet = methods.installationWebhook !== null;
  const nobodyReached = () => nobodyReachedNow({ store, webhookSet, nowMs: clock.nowMs() });
  const liveness = createLiveness({ clock, log, ping: deps.ping ?? null, nobodyReached });
  const status = createStatus({ ...deps, world, house, stateOf, bus: () => attached });
  const carrier = countingFailures(methods.carrier, status.failed);
  const relay = createRelay({ store, ...methods, carrier, clock, timers, log });
  const relayTurn = relayTurnOf(relay, deps, () => liveness.beat('outbox'));
  return {
    liveness,
    status,
    relay,
    relayTurn,
    alarmChanged(alarmId: string): void {
      publisher.alarm(alarmId);
      relayTurn();
    },
    /** The broker is there from now on. */
    attach(bus: Bus): void {
      attached = bus;
    },
  };
}
