import type { Store } from '../../ports.ts';

type Part = Exclude<keyof Store, 'transaction' | 'carryOn' | 'lasting' | 'touch' | 'close'>;

/** A part that is left out here does not compile. */
const PARTS: Readonly<Record<Part, true>> = {
  journal: true,
  probes: true,
  places: true,
  refusals: true,
  alarms: true,
  outbox: true,
  people: true,
  pathTests: true,
  diary: true,
  batches: true,
  preparations: true,
  access: true,
  mappings: true,
  sheets: true,
  settled: true,
  corrections: true,
  checks: true,
  horizon: true,
  handshakes: true,
  keys: true,
  restoreGaps: true,
  waiting: true,
  archive: true,
  clock: true,
};

/** The parts of a store, each call of which goes to the store that holds at its moment. */
export function switchedParts(current: () => Store): Pick<Store, Part> {
  const parts = (Object.keys(PARTS) as Part[]).map((part) => [
    part,
    new Proxy(
      {},
      {
        get: (_, name) => Reflect.get(current()[part], name),
        // a part that is spread is that of the store which holds then
        ownKeys: () => Reflect.ownKeys(current()[part]),
        getOwnPropertyDescriptor: (_, name) => {
          const found = Reflect.getOwnPropertyDescriptor(current()[part], name);
          return found && { ...found, configurable: true };
        },
      },
    ),
  ]);
  return Object.fromEntries(parts) as Pick<Store, Part>;
}
