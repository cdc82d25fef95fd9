import type { SecondClient } from '../../../shared/wire/probes/device.ts';

/** What is looked back on, ms, and how often something must have come in it. Common practice, no source. */
export const LOOKBACK_MS = 10 * 60_000;
/** A device whose power failed takes over from its own dead connection: once or twice says nothing. */
const TOOK_OVER_FROM = 3;
const WENT_FROM = 5;
/** Most times kept of each kind. */
export const MAX_TIMES = 50;

/** When what happened at a device, ms since epoch, ascending. */
export type Comings = {
  /** a client published after another had, which had published before it */
  readonly alternatedMs: readonly number[];
  /** a new client came under the client id of one that was connected */
  readonly tookOverMs: readonly number[];
  /** its Will said that it went offline */
  readonly wentMs: readonly number[];
};

/** Adds a moment to those that are looked back on. */
export function withMoment(momentsMs: readonly number[], nowMs: number): readonly number[] {
  return [...recent(momentsMs, nowMs), nowMs].slice(-MAX_TIMES);
}

/**
 * Whether two clients seem to share the name of one device: two that publish by turns are certain, one that throws the other
 * out again and again nearly so; going offline very often may be a poor network too.
 * @param comings what happened at the device
 * @param nowMs ms since epoch
 * @returns the surest sign in the last 10 min and how often it came, or null
 */
export function secondClient(
  { alternatedMs, tookOverMs, wentMs }: Comings,
  nowMs: number,
): Pick<SecondClient, 'kind' | 'times' | 'withinMin'> | null {
  const withinMin = LOOKBACK_MS / 60_000;
  const [alternated, tookOver, went] = [alternatedMs, tookOverMs, wentMs].map(
    (moments) => recent(moments, nowMs).length,
  ) as [number, number, number];
  if (alternated > 0) return { kind: 'alternating', times: alternated, withinMin };
  if (tookOver >= TOOK_OVER_FROM) return { kind: 'taking-over', times: tookOver, withinMin };
  return went >= WENT_FROM ? { kind: 'restless', times: went, withinMin } : null;
}

function recent(momentsMs: readonly number[], nowMs: number): readonly number[] {
  return momentsMs.filter((ms) => ms > nowMs - LOOKBACK_MS);
}
