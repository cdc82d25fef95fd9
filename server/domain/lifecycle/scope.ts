import type { Probe } from '../../../shared/model/probes/probe.ts';

export type ArchiveTarget =
  | { readonly kind: 'place'; readonly placeId: string }
  | { readonly kind: 'probe'; readonly probeId: number }
  | { readonly kind: 'device'; readonly device: string };

/** Whole places, and probes: those of the places, and others. */
export type ArchiveScope = { readonly placeIds: readonly string[]; readonly probeIds: readonly number[] };

/**
 * What goes with something that is archived: with a place its probes, and the unassigned ones of devices that have no
 * other place; with a device its probes, and places for which only it reports; with a probe nothing else.
 * @param probes all that are live
 */
export function archiveScope(target: ArchiveTarget, probes: readonly Probe[]): ArchiveScope {
  switch (target.kind) {
    case 'probe':
      return { placeIds: [], probeIds: [target.probeId] };
    case 'place':
      return { placeIds: [target.placeId], probeIds: idsOf(ofPlace(target.placeId, probes)) };
    case 'device': {
      const own = probes.filter(({ device }) => device === target.device);
      const shared = new Set(
        probes.filter(({ device }) => device !== target.device).map(({ placeId }) => placeId),
      );
      const places = new Set(own.flatMap(({ placeId }) => (shared.has(placeId) ? [] : (placeId ?? []))));
      return { placeIds: [...places], probeIds: idsOf(own) };
    }
  }
}

function ofPlace(placeId: string, probes: readonly Probe[]): Probe[] {
  const inside = probes.filter((probe) => probe.placeId === placeId);
  const devices = new Set(inside.map(({ device }) => device));
  const elsewhere = new Set(
    probes.filter((probe) => probe.placeId !== null && probe.placeId !== placeId).map(({ device }) => device),
  );
  const unassigned = probes.filter(
    ({ device, placeId: at }) => at === null && devices.has(device) && !elsewhere.has(device),
  );
  return [...inside, ...unassigned];
}

function idsOf(probes: readonly Probe[]): number[] {
  return probes.map(({ id }) => id);
}
