import type { Store } from '../../ports.ts';

type Part = Exclude<keyof Store, 'transaction' | 'carryOn' | 'lasting' | 'touch' | 'close'>;

const PARTS: readonly Part[] = [
  'journal',
  'probes',
  'places',
  'refusals',
  'alarms',
  'outbox',
  'people',
  'pathTests',
  'diary',
  'access',
  'mappings',
  'settled',
  'corrections',
  'checks',
  'horizon',
];

/** The parts of a store, each call of which goes to the store that holds at its moment. */
export function switchedParts(current: () => Store): Pick<Store, Part> {
  const parts = PARTS.map((part) => [
    part,
    new Proxy({}, { get: (_, name) => Reflect.get(current()[part], name) }),
  ]);
  return Object.fromEntries(parts) as Pick<Store, Part>;
}
