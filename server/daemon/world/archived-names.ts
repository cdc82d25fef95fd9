import type { ArchivedNames } from '../../ports.ts';

/** Names that are taken by what was archived or deleted, each with the item that holds it. */
export class ArchivedIndex {
  readonly #places = new Map<string, number>();
  readonly #devices = new Map<string, Map<string, number>>();

  constructor({ places, probes }: ArchivedNames) {
    for (const { placeId, itemId } of places) this.#places.set(placeId, itemId);
    for (const { device, name, itemId } of probes) {
      const names = this.#devices.get(device) ?? new Map<string, number>();
      this.#devices.set(device, names.set(name, itemId));
    }
  }

  /** The item that holds a place, or null. */
  place(placeId: string): number | null {
    return this.#places.get(placeId) ?? null;
  }

  /** The item that holds a probe, or null. */
  probe({ device, name }: { readonly device: string; readonly name: string }): number | null {
    return this.#devices.get(device)?.get(name) ?? null;
  }

  /** The items that hold probes of a device, or the place of its name, in the order in which they were made. */
  itemsOf(device: string): number[] {
    const items = new Set(this.#devices.get(device)?.values() ?? []);
    const ofPlace = this.place(device);
    if (ofPlace !== null) items.add(ofPlace);
    return [...items].sort((a, b) => a - b);
  }
}
