import { LIMIT_RULE_DEFINITIONS, LIMIT_RULES, type LimitRule } from '../../../../../shared/rules/rules.ts';
import type { Happening, Played } from './played.ts';

/**
 * A trial of the stored record gives the alarms that were active live. Left out is what a trial cannot know: a rule or mat
 * that was set otherwise, probes that were archived or corrected since, and what ran out while nothing watched.
 */
const SECOND_MS = 1_000;
const SAMPLE_MS = 5 * 60_000;
/** Evaluated from the record every five minutes. */
const BY_RECORD: readonly LimitRule[] = [
  'root-zone-far-too-cold',
  'no-mist-in-light',
  'vent-left-open',
  'saturated-too-long',
];

export function unlikeTrial(played: Played): string[] {
  return LIMIT_RULES.flatMap((rule) => (knows(rule, played) ? compared(rule, played) : []));
}

function knows(rule: LimitRule, { log, events, trials }: Played): boolean {
  if (!trials.has(rule) || (!LIMIT_RULE_DEFINITIONS[rule].on && !isAsked(rule, log))) return false;
  const bears = (name: string) => name.startsWith(positionOf(name)) && bearsOn(rule, name);
  const isUnknown = (one: Happening): boolean => {
    if (one.kind === 'rule') return one.rule === rule;
    if (one.kind === 'mat') return 'needsMat' in LIMIT_RULE_DEFINITIONS[rule];
    if (one.kind === 'archive' || one.kind === 'correct') return bears(one.probe);
    if (one.kind === 'down') return BY_RECORD.includes(rule) && one.toMs > one.fromMs;
    return one.kind === 'clock';
  };
  const isEnded = (events.get(rule) ?? []).some(({ transition }) => transition === 'not-judged');
  return !isEnded && !log.some(isUnknown);
}

const isAsked = (rule: LimitRule, log: readonly Happening[]) =>
  rule === 'light-over-peak' && log.some((one) => one.kind === 'targets' && one.targets.alarms !== undefined);

const positionOf = (name: string) => name.split('/').slice(0, 2).join('/');

function bearsOn(rule: LimitRule, name: string): boolean {
  const { watches } = LIMIT_RULE_DEFINITIONS[rule];
  const beside = rule === 'root-falling-towards-air' ? ['air/temperature'] : ['light/ppfd'];
  return [...watches.quantities, ...beside].includes(positionOf(name) as 'air/temperature');
}

function compared(rule: LimitRule, { log, events, trials, endMs }: Played): string[] {
  const live = pairsOf(
    (events.get(rule) ?? []).filter(({ transition }) => transition === 'raised' || transition === 'returned'),
  );
  const past = (trials.get(rule) ?? [])
    .map(({ raised, returned }) => ({
      raisedMs: Date.parse(raised),
      returnedMs: returned === null ? null : Date.parse(returned),
    }))
    .filter(({ raisedMs }) => raisedMs <= endMs);
  // what ran out while nothing watched was seen later, or never
  const isUnwatched = past.some(({ raisedMs }) =>
    log.some((one) => one.kind === 'down' && one.fromMs <= raisedMs && raisedMs <= one.toMs),
  );
  if (isUnwatched) return [];
  const apartMs = BY_RECORD.includes(rule) ? SAMPLE_MS : SECOND_MS;
  const isAlike =
    live.length === past.length &&
    live.every(({ raisedMs, returnedMs }, i) => {
      const trial = past[i];
      if (!trial || Math.abs(raisedMs - trial.raisedMs) > apartMs) return false;
      if (returnedMs === null || trial.returnedMs === null) return returnedMs === trial.returnedMs;
      return Math.abs(returnedMs - trial.returnedMs) <= apartMs;
    });
  return isAlike ? [] : [`${rule}: live ${said(live)}, in a trial ${said(past)}`];
}

type Pair = { readonly raisedMs: number; readonly returnedMs: number | null };

function pairsOf(events: readonly { readonly transition: string; readonly atMs: number }[]): Pair[] {
  const pairs: Pair[] = [];
  for (const { transition, atMs } of events) {
    if (transition === 'raised') pairs.push({ raisedMs: atMs, returnedMs: null });
    const open = pairs.at(-1);
    if (transition === 'returned' && open) pairs[pairs.length - 1] = { ...open, returnedMs: atMs };
  }
  return pairs;
}

function said(pairs: readonly Pair[]): string {
  const clock = (atMs: number | null) => (atMs === null ? '…' : new Date(atMs).toISOString().slice(5, 19));
  return pairs.length === 0
    ? 'none'
    : pairs.map(({ raisedMs, returnedMs }) => `${clock(raisedMs)}–${clock(returnedMs)}`).join(', ');
}
