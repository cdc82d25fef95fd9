import type { KeptCheck } from '../../../../shared/model/probes/check.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';

/** After a check a probe needs this long to be of its place again, ms. Common practice, no source. */
const AFTER_CHECK_MS = 30 * 60_000;

const MINUTE_MS = 60_000;

/** A span in which a probe is not where it belongs, ms since epoch; whole minutes, or without an end. */
export type Away = { readonly fromMs: number; readonly toMs: number };

/**
 * When a check takes its probe away from its place: from the moment it is put into ice or a jar until half an hour after
 * it was taken out again, or else after the check was over. A probe that is checked beside another stays where both belong.
 * @param check under way or done; times in ms since epoch
 * @returns null where it is not taken away; `toMs` is infinite while it is there
 * @example awayOf({ ...check, endedMs: null }) // null before its first step began
 */
export function awayOf({ body, endedMs }: Pick<KeptCheck, 'body' | 'endedMs'>): Away | null {
  const begun = body.steps.filter(({ sinceMs }) => sinceMs !== null);
  const last = begun.at(-1);
  if (body.kind === 'beside' || !last) return null;
  const outMs = last.untilMs ?? endedMs;
  // whole minutes, so that a minute that is kept in place of its readings is in or out as a whole
  return {
    fromMs: Math.floor(Math.min(...begun.map(({ sinceMs }) => sinceMs ?? 0)) / MINUTE_MS) * MINUTE_MS,
    toMs:
      outMs === null ? Number.POSITIVE_INFINITY : Math.ceil((outMs + AFTER_CHECK_MS) / MINUTE_MS) * MINUTE_MS,
  };
}

/**
 * Which probes go with the one that is checked: those in the same housing, recognised by device, position and number, and the
 * one that reads the temperature in the jar.
 * @param check of one of the probes
 * @param probes all there are
 * @returns their numbers
 * @example takenAlong(check, []) // []
 */
export function takenAlong(
  { probeId, body }: Pick<KeptCheck, 'probeId' | 'body'>,
  probes: readonly Pick<Probe, 'id' | 'device' | 'name'>[],
): number[] {
  const checked = probes.find(({ id }) => id === probeId);
  const { temperature } = body;
  const companionId = temperature && 'probeId' in temperature ? temperature.probeId : null;
  const housing = ({ device, name }: Pick<Probe, 'device' | 'name'>) => {
    const [position, , number = ''] = name.split('/');
    return `${device}/${position}/${number}`;
  };
  return probes
    .filter((one) => (checked && housing(one) === housing(checked)) || one.id === companionId)
    .map(({ id }) => id);
}

/** Whether a time lies in one of the spans. */
export function isAwayAt(spans: readonly Away[], tMs: number): boolean {
  return spans.some(({ fromMs, toMs }) => tMs >= fromMs && tMs < toMs);
}
