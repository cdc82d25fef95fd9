import type { Clock, Log, Store } from '../ports.ts';
import type { Ways } from './people-desk.ts';
import { createRelay } from './relay.ts';
import type { Writability } from './writable.ts';

type RelayTurnDeps = {
  readonly store: Store;
  readonly ways: Ways;
  readonly clock: Clock;
  readonly log: Log;
  readonly writability: Pick<Writability, 'writable' | 'refused'>;
};

type Noted = { readonly cameRound: () => void; readonly failed: () => void };

/** A turn of the relay that may be asked for at any time. */
export function relayTurnOf(
  { store, ways, clock, log, writability }: RelayTurnDeps,
  noted: Noted,
): () => void {
  const { cameRound, failed } = noted;
  const carrier: Ways['carrier'] = {
    async send(way, message) {
      const delivery = await ways.carrier.send(way, message);
      if (!delivery.taken) failed();
      return delivery;
    },
  };
  const relay = createRelay({ store, ...ways, carrier, clock, log });
  return () => {
    // what cannot be noted as sent would be sent again and again
    if (!writability.writable()) return;
    relay.turn().then(cameRound, (cause: unknown) => {
      writability.refused(cause);
      log.error('the relay failed', { error: String(cause) });
    });
  };
}
