import { REFUSAL_FAULTS } from '../../../shared/faults.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { type Decoded, decodePack } from './decode.ts';
import type { Refusal } from './refusal.ts';

/** One reading as it would be stored, and where. */
export type WouldStore = {
  readonly probe: string;
  /** null for an unassigned probe */
  readonly quantity: ProbeQuantityName | null;
  readonly value: number;
  readonly unit: string | null;
  readonly tMs: number;
  /** null for a probe nobody has given a place */
  readonly placeId: string | null;
};

export type Verdict =
  | { readonly ok: true; readonly device: string; readonly readings: readonly WouldStore[] }
  | ({ readonly ok: false; readonly device: string | null; readonly remedy: string } & Refusal);

/** Id of the place a probe has, null when it was taken out of its place, undefined when nobody knows it. */
export type PlaceOf = (probe: {
  readonly device: string;
  readonly name: string;
}) => string | null | undefined;

/**
 * What would happen to a message on a readings topic, without storing it. Bounds on how many probes are kept are not
 * looked at.
 * @returns the readings, each with its place, or why the pack would be refused and how to fix it
 */
export function verdictOf(message: Parameters<typeof decodePack>[0], placeOf: PlaceOf): Verdict {
  return verdictOn(decodePack(message), placeOf);
}

/**
 * The same of a message that was read.
 * @param newPlaceId place of well-known probes that nobody knows yet; without one, that of first contact
 */
export function verdictOn(decoded: Decoded, placeOf: PlaceOf, newPlaceId: string | null = null): Verdict {
  if (!decoded.ok)
    return { ok: false, ...decoded.refusal, remedy: REFUSAL_FAULTS[decoded.refusal.code].remedy };
  const { device } = decoded;
  const readings = decoded.readings.map(({ probe, quantity, value, unit, tMs }) => {
    const place = placeOf({ device, name: probe });
    // First contact: a place of the device's name for its well-known probes.
    const made = quantity === null ? null : (newPlaceId ?? device);
    return { probe, quantity, value, unit, tMs, placeId: place === undefined ? made : place };
  });
  return { ok: true, device, readings };
}
