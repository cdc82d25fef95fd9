import type { Delivery } from '../../domain/devices/delivery.ts';
import type { RawMessage } from '../../ports.ts';
import type { MappedOutcome } from './foreign-messages/book.ts';

/** What an ingest turn changed, for those who are notified after its commit. */
export type Touched = {
  readonly placesMade: Set<string>;
  readonly placesReporting: Set<string>;
  readonly alarms: Set<string>;
  /** results of messages that mappings read */
  readonly mapped: MappedOutcome[];
  /** deliveries by device, and messages on their status topics */
  readonly deliveries: Delivery[];
  readonly statuses: RawMessage[];
  /** readings of what is in the archive, by the item that holds it */
  readonly leftOut: Map<number, number>;
  /** when the first on-delay that these readings left running runs out, ms since epoch */
  dueAtMs: number | null;
  stored: number;
  refused: number;
  conflicts: number;
  /** messages of QoS 2 that had come before */
  repeats: number;
};

/** Before a turn: nothing. */
export function nothingTouched(): Touched {
  return {
    placesMade: new Set(),
    placesReporting: new Set(),
    alarms: new Set(),
    mapped: [],
    deliveries: [],
    statuses: [],
    leftOut: new Map(),
    dueAtMs: null,
    stored: 0,
    refused: 0,
    conflicts: 0,
    repeats: 0,
  };
}
