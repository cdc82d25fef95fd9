import { readdirSync, readFileSync } from 'node:fs';

const folder = new URL('../../../firmware-contracts/v1/examples/', import.meta.url);

export type Example = { readonly file: string; readonly payload: Uint8Array };

/** The example packs published for firmware authors; an invalid one is named `<fault-code>--<why>.json`. */
export function examples(kind: 'valid' | 'invalid'): readonly Example[] {
  return readdirSync(new URL(`${kind}/`, folder)).map((file) => ({
    file,
    payload: new Uint8Array(readFileSync(new URL(`${kind}/${file}`, folder))),
  }));
}

/** The topic the examples are meant for, and an instant just after the times in them: 2026-03-04 08:10 UTC. */
export const EXAMPLE_TOPIC = 'strikewell/1/bench-1/readings';
export const EXAMPLE_ARRIVED_AT_MS = Date.UTC(2026, 2, 4, 8, 10);
