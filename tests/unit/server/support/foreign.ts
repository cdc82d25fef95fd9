import type { RawMessage } from '../../../../server/ports.ts';
import type { NewMapping } from '../../../../shared/model/probes/mapping.ts';
import type { House } from './house.ts';

/** A topic of two values: °F, and a battery that may be missing. */
export const MAPPING: NewMapping = {
  filter: 'house/+/climate',
  device: { kind: 'level', level: 2 },
  placeId: null,
  time: { kind: 'arrival' },
  values: [
    { pointer: '/t', probe: 'air/temperature', unit: 'degF', scale: 1, offset: 0, optional: false },
    { pointer: '/b', probe: 'battery/level', unit: '%EL', scale: 1, offset: 0, optional: true },
  ],
};

/** A message on a topic that is none of the contract's, as it comes through the door now. */
export function foreign(house: House, payload: unknown, topic = 'house/east/climate'): RawMessage {
  const text = typeof payload === 'string' ? payload : JSON.stringify(payload);
  const arrivedAtMs = house.hand.clock.nowMs();
  return { topic, payload: new TextEncoder().encode(text), arrivedAtMs, retainedCopy: false };
}
