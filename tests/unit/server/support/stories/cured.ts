import { medianOf } from '../../../../../shared/exposure/sample.ts';
import type { LimitRule } from '../../../../../shared/rules/rules.ts';
import { climateOf, MAX_GAP_MS, type Used, usedOf, vpdOf } from './climate.ts';
import type { Happening, Played, Return } from './played.ts';
import { modelled, PROBE_RULES, type ProbeRule } from './probe-rules.ts';
import type { ProbeName } from './story.ts';

/**
 * What says that it is over is so by what was measured: by the model of each rule of a probe, to the second, and for rules
 * of a place by what its probes had read.
 */
const SECOND_MS = 1_000;
const IN_LIGHT_PPFD = 20;
const clockOf = (atMs: number) => new Date(atMs).toISOString().slice(5, 19);

export function notCured(played: Played): string[] {
  return [
    ...played.returns.flatMap((one) => withoutReading(one, played)),
    ...(played.clean ? PROBE_RULES.flatMap((rule) => unlikeModel(rule, played)) : []),
    ...(played.clean ? dryButOver(played) : []),
  ];
}

/** A rule of readings ends with a message that holds one, and never with time alone. */
function withoutReading({ rule, how, values, atMs }: Return, { log }: Played): string[] {
  const of = PROBE_RULES.find((one) => one.rule === rule);
  const byPlace = rule === 'vpd-above-band-in-light' || rule === 'air-warmer-than-root';
  if (!of && !byPlace) return [];
  if (how === 'time') return [`${rule} is over at ${clockOf(atMs)} though nothing was read`];
  if (!of) return [];
  const offsets = new Map(log.flatMap((one) => (one.kind === 'correct' ? [[one.probe, one.offset]] : [])));
  const read = [...values].flatMap(([name, raw]) =>
    name.startsWith(of.position) ? (usedOf(name, raw, offsets.get(name) ?? 0) ?? []) : [],
  );
  return read.length > 0 ? [] : [`${rule} is over at ${clockOf(atMs)} though no such probe was read`];
}

function unlikeModel(of: ProbeRule, played: Played): string[] {
  const { momentAt } = climateOf(played.log);
  const expected = modelled(of, played, momentAt);
  const found = (played.events.get(of.rule) ?? []).filter(({ transition }) =>
    ['raised', 'returned', 'not-judged'].includes(transition),
  );
  const say = (one: { transition: string; atMs: number } | undefined) =>
    one ? `${one.transition} ${clockOf(one.atMs)}` : 'nothing more';
  for (let i = 0; i < Math.max(expected.length, found.length); i++) {
    const [want, got] = [expected[i], found[i]];
    const slackMs = want?.transition === 'not-judged' ? MAX_GAP_MS : SECOND_MS;
    const isAlike =
      want && got && want.transition === got.transition && Math.abs(want.atMs - got.atMs) <= slackMs;
    if (!isAlike) return [`${of.rule}: expected ${say(want)}, got ${say(got)}`];
  }
  return expected.flatMap((one) => unsaid(of.rule, one, played));
}

/** What is within because its limit moved, or its probe was corrected, says so. */
function unsaid(
  rule: LimitRule,
  { transition, atMs, moved }: ReturnType<typeof modelled>[number],
  { returns }: Played,
): string[] {
  if (transition !== 'returned' || !moved) return [];
  const said = returns.find((one) => one.rule === rule && Math.abs(one.atMs - atMs) <= SECOND_MS);
  const facts = said?.facts;
  if (facts?.kind !== 'past-limit' || facts.moved !== undefined) return [];
  return [`${rule} at ${clockOf(atMs)} says it recovered, though only its limit or its correction moved`];
}

/** Air is damp again only where the probes that showed it dry, or all that still report, say so, in light. */
function dryButOver({ log, returns, events }: Played): string[] {
  return returns.flatMap(({ rule, atMs }) => {
    if (rule !== 'vpd-above-band-in-light') return [];
    const at = log.findLastIndex((one) => one.kind === 'pack' && one.tMs === atMs);
    const climate = climateOf(log.slice(0, at + 1));
    const { targets, night } = climate.momentAt(atMs);
    const fresh = (position: string) =>
      [...climate.readings].flatMap(([name, used]) => {
        const newest = used.at(-1);
        return name.startsWith(position) && newest && atMs - newest.tMs <= MAX_GAP_MS ? [newest.value] : [];
      });
    const light = fresh('light/');
    const isLight = light.length > 0 ? light.some((ppfd) => ppfd >= IN_LIGHT_PPFD) : !night;
    const [airC, humidityPct] = [medianOf(fresh('air/temperature')), medianOf(fresh('air/humidity'))];
    const kpa = airC === null || humidityPct === null ? null : vpdOf(airC, humidityPct);
    const when = clockOf(atMs);
    if (!isLight) return [`${rule} is over at ${when}, in the dark`];
    if (kpa === null || kpa > targets.vpd.highKpa - 0.1 + 1e-9)
      return [`${rule} is over at ${when} with ${kpa?.toFixed(2)} kPa`];
    const raised = (events.get(rule) ?? []).findLast(
      (one) => one.transition === 'raised' && one.atMs <= atMs,
    );
    return silentSince(climate.readings, {
      log: log.slice(0, at + 1),
      atMs,
      raisedMs: raised?.atMs ?? 0,
    }).map((name) => `${rule} is over at ${when} though ${name}, which showed it, is silent`);
  });
}

/** Probes that had reported while the alarm was active, and are silent as it ends. */
function silentSince(
  readings: ReadonlyMap<ProbeName, readonly Used[]>,
  {
    atMs,
    raisedMs,
  }: { readonly log: readonly Happening[]; readonly atMs: number; readonly raisedMs: number },
): ProbeName[] {
  return [...readings].flatMap(([name, used]) => {
    const newestMs = used.at(-1)?.tMs ?? 0;
    const isSilent = name.startsWith('air/') && newestMs >= raisedMs && atMs - newestMs > MAX_GAP_MS;
    return isSilent ? [name] : [];
  });
}
