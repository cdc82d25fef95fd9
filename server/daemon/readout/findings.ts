import { Fault } from '../../../shared/faults.ts';
import type { Place } from '../../../shared/model/place.ts';
import { FINDINGS, type Finding } from '../../../shared/model/probes/finding.ts';
import type { FindingsAnswer, FindingView } from '../../../shared/wire/probes/finding.ts';
import { findingWords } from '../../../shared/words/finding.ts';
import { type ProbeSuspectFacts, probeSuspectFacts } from '../../domain/probes/alarm-facts.ts';
import { type ClockSample, clocksAdrift, LEAST_SAMPLES } from '../../domain/probes/faults/clock.ts';
import { inOrder, MAX_CHECK_MS } from '../../domain/probes/findings.ts';
import type { Clock, Log, Span, Timers } from '../../ports.ts';
import { baseQuantity, type RecordContext } from '../world/records.ts';
import { checkDrift, checkProbes, checkRecent } from './probe-checks.ts';

/** Each place is checked once an hour, for drift once a day, ms; one piece of that a turn. */
const CHECK_EVERY_MS = 3_600_000;
const DRIFT_EVERY_MS = 24 * 3_600_000;
const TURN_EVERY_MS = 5_000;
/** A question has places checked again whose check is older, ms; so many at most, those checked longest ago. */
const FRESH_MS = 5 * 60_000;
const CHECKS_A_QUESTION = 4;
/** Clocks are judged by samples at least this far apart, ms. */
const CLOCK_EVERY_MS = 50 * 60_000;

type CheckedPlace = {
  readonly atMs: number;
  readonly findings: readonly Finding[];
};
type Sampled = { readonly deliveredAtMs: number; readonly samples: readonly ClockSample[] };

type FindingsContext = RecordContext & { readonly clock: Clock };

/** What is known against the probes, checked again and again; nothing of it is kept, as it follows from the record. */
export type FindingsService = {
  /** The findings of a place as of the last check; none before the first. */
  held(placeId: string): readonly Finding[];
  /** What the alarm about suspect probes of a place says; null when nothing is active, undefined before the first check. */
  suspectFacts(placeId: string): ProbeSuspectFacts | null | undefined;
  /** @throws Fault `bad-request` for too long a span */
  answer(query: { readonly places: readonly Place[]; readonly span: Span | null }): FindingsAnswer;
  /** Checks a place now, of which much has come at once. */
  checkNow(placeId: string): void;
  start(deps: { readonly timers: Timers; readonly log: Log }): () => void;
};

export function createFindings(context: FindingsContext): FindingsService {
  const { world, clock } = context;
  const checked = new Map<string, CheckedPlace>();
  const drifted = new Map<string, CheckedPlace>();
  const clocks = new Map<string, Sampled>();

  const check = (place: Place): CheckedPlace => {
    const atMs = clock.nowMs();
    const fresh = { atMs, findings: checkRecent(place, atMs, context) };
    checked.set(place.id, fresh);
    return fresh;
  };
  const held = (place: Place, findings: readonly Finding[]): Finding[] =>
    inOrder([
      ...findings,
      ...(drifted.get(place.id)?.findings ?? []),
      ...clockFindings(place, clocks, context),
    ]);
  const refresh = (places: readonly Place[]) => {
    for (let checks = 0; checks < CHECKS_A_QUESTION; checks++) {
      const due = longestAgo(places, checked, { nowMs: clock.nowMs(), everyMs: FRESH_MS });
      if (due) check(due);
    }
  };
  const known = (placeId: string): Finding[] => {
    const [place, kept] = [world.places.get(placeId), checked.get(placeId)];
    return place && kept ? held(place, kept.findings) : [];
  };
  const turn = () => {
    const nowMs = clock.nowMs();
    for (const checks of [checked, drifted])
      for (const placeId of checks.keys()) if (!world.places.has(placeId)) checks.delete(placeId);
    const due = longestAgo([...world.places.values()], checked, { nowMs, everyMs: CHECK_EVERY_MS });
    if (due) {
      sampleClocks(due, clocks, context);
      check(due);
      return;
    }
    const forDrift = longestAgo([...world.places.values()], drifted, { nowMs, everyMs: DRIFT_EVERY_MS });
    if (forDrift) drifted.set(forDrift.id, { atMs: nowMs, findings: checkDrift(forDrift, nowMs, context) });
  };

  return {
    held: known,
    suspectFacts: (placeId) => (checked.has(placeId) ? probeSuspectFacts(known(placeId)) : undefined),
    answer({ places, span }) {
      if (span !== null) {
        requireShort(span);
        const findings = places.flatMap((place) =>
          viewsOf(place, checkProbes(place, span, context), context),
        );
        return { findings, lookedAt: null };
      }
      refresh(places);
      const atMs = places.map(({ id }) => checked.get(id)?.atMs ?? null).filter((ms) => ms !== null);
      return {
        findings: places.flatMap((place) => viewsOf(place, known(place.id), context)),
        lookedAt: atMs.length === 0 ? null : new Date(Math.min(...atMs)).toISOString(),
      };
    },
    checkNow(placeId) {
      const place = world.places.get(placeId);
      if (place) check(place);
    },
    start: (deps) => everyTurn(turn, deps),
  };
}

/** A turn that fails is noted, and the next one comes all the same. */
function everyTurn(turn: () => void, { timers, log }: Parameters<FindingsService['start']>[0]): () => void {
  return timers.every(TURN_EVERY_MS, () => {
    try {
      turn();
    } catch (cause) {
      log.error('probes could not be looked at', { error: String(cause) });
    }
  });
}

/** The place whose check is due and lies back longest. */
function longestAgo(
  places: readonly Place[],
  known: ReadonlyMap<string, CheckedPlace>,
  { nowMs, everyMs }: { readonly nowMs: number; readonly everyMs: number },
): Place | null {
  // later than any check can be: by a clock that was ahead
  const lastMs = ({ id }: Place) => {
    const atMs = known.get(id)?.atMs ?? Number.NEGATIVE_INFINITY;
    return atMs > nowMs ? Number.NEGATIVE_INFINITY : atMs;
  };
  const due = places.filter((place) => lastMs(place) <= nowMs - everyMs);
  return due.reduce<Place | null>((a, b) => (a && lastMs(a) <= lastMs(b) ? a : b), null);
}

/** Notes how far each device of a place was ahead of its last delivery. */
function sampleClocks(place: Place, clocks: Map<string, Sampled>, { world }: RecordContext): void {
  for (const { id, device } of world.probesOf(place.id)) {
    const latest = world.latest.get(id);
    const before = clocks.get(device);
    if (!latest || latest.deliveredAtMs === null) continue;
    if (before && latest.deliveredAtMs - before.deliveredAtMs < CLOCK_EVERY_MS) continue;
    const sample = { atMs: latest.deliveredAtMs, aheadMs: latest.tMs - latest.deliveredAtMs };
    const samples = [...(before?.samples ?? []), sample].slice(-LEAST_SAMPLES);
    clocks.set(device, { deliveredAtMs: latest.deliveredAtMs, samples });
  }
}

function clockFindings(
  place: Place,
  clocks: ReadonlyMap<string, Sampled>,
  { world }: RecordContext,
): Finding[] {
  const devices = Map.groupBy(world.probesOf(place.id), ({ device }) => device);
  return [...devices].flatMap(([device, probes]) => {
    const [first] = probes;
    const samples = clocks.get(device)?.samples ?? [];
    const quantity = first && (baseQuantity(first) ?? first.name);
    return first && quantity
      ? clocksAdrift([{ probeId: first.id, probe: `${device}/${first.name}`, quantity, samples }])
      : [];
  });
}

function viewsOf(place: Place, findings: readonly Finding[], context: FindingsContext): FindingView[] {
  const reader = { unit: 'C' as const, timeZone: context.timeZone, nowMs: context.clock.nowMs() };
  const iso = (ms: number) => new Date(ms).toISOString();
  return findings.map(({ sinceMs, untilMs, spans, ...finding }) => ({
    ...finding,
    spans: spans.map(({ fromMs, toMs }) => ({ from: iso(fromMs), to: iso(toMs) })),
    placeId: place.id,
    leftOut: FINDINGS[finding.finding].leftOut,
    since: iso(sinceMs),
    until: untilMs === null ? null : iso(untilMs),
    words: findingWords({ sinceMs, untilMs, spans, ...finding }, reader),
  }));
}

function requireShort({ fromMs, toMs }: Span): void {
  if (fromMs < toMs && toMs - fromMs <= MAX_CHECK_MS) return;
  const message = 'The span must have `from` before `to` and be no longer than 8 days.';
  throw new Fault({ code: 'bad-request', message, details: { fromMs, toMs } });
}
