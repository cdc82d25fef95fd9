import type { ProbeRecord, Window } from '../../../shared/exposure/series.ts';
import type { PlaceKind } from '../../../shared/model/place.ts';
import type { Finding, FindingFacts, FindingKind } from '../../../shared/model/probes/finding.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';

/** One probe of a place as it is checked. */
export type CheckedProbe = {
  readonly probeId: number;
  /** device and name */
  readonly probe: string;
  readonly quantity: ProbeQuantityName;
  /** readings of the window, those that are no measurement included */
  readonly record: ProbeRecord;
};

/** What is checked in one go: the probes of one place over a window, ms since epoch. */
export type CheckScope = Window & {
  readonly kind: PlaceKind;
  readonly maxGapMs: number;
  /** lx per µmol m⁻² s⁻¹ of the place's light */
  readonly lxPerUmol: number;
  readonly probes: readonly CheckedProbe[];
};

/** A stretch in which something was wrong, with the numbers that say so. */
export type Stretch = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly readings: number;
  readonly facts: Partial<FindingFacts> & { readonly seen: number };
};

/** Stretches of a finding that are listed one by one, the newest. */
const MOST_SPANS = 50;
/** Single readings that are wrong stand for this long after the last of them, ms. */
export const EVENT_ACTIVE_MS = 6 * 3_600_000;

/**
 * A finding from the stretches of one kind at one probe: from the first to the last, with the worst one's numbers.
 * It is active where the last reaches up to the probe's newest reading, or to `standsMs` before it.
 * @param probe the probe looked at
 * @param stretches ascending; none gives no finding
 * @param how which finding; the look's start, ms since epoch; ms, ≥ 0, for which a stretch stays active after its end
 * @returns none or one
 * @example findingOf(probe, [], { finding: 'flat', fromMs: 0, standsMs: 0 }) // []
 */
export function findingOf(
  probe: CheckedProbe,
  stretches: readonly Stretch[],
  how: { readonly finding: FindingKind; readonly fromMs: number; readonly activeMs: number },
): Finding[] {
  const [first, last] = [stretches[0], stretches.at(-1)];
  if (!first || !last) return [];
  const worst = stretches.reduce((a, b) => (Math.abs(b.facts.seen) > Math.abs(a.facts.seen) ? b : a));
  const newestMs = probe.record.timesMs.at(-1) ?? last.toMs;
  const oldestMs = probe.record.timesMs[0] ?? first.fromMs;
  return [
    {
      probeId: probe.probeId,
      probe: probe.probe,
      quantity: probe.quantity,
      finding: how.finding,
      sinceMs: first.fromMs,
      untilMs: last.toMs + how.activeMs >= newestMs ? null : last.toMs,
      orEarlier: first.fromMs <= Math.max(oldestMs, how.fromMs),
      readings: stretches.reduce((sum, { readings }) => sum + readings, 0),
      spans: stretches.slice(-MOST_SPANS).map(({ fromMs, toMs }) => ({ fromMs, toMs })),
      facts: { limit: null, other: null, otherProbe: null, ...worst.facts },
    },
  ];
}
