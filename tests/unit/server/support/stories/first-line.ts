import { medianOf } from '../../../../../shared/exposure/sample.ts';
import { bandC, type Climate, climateOf, MAX_GAP_MS, type Piece, vpdOf } from './climate.ts';
import { COURSE_OF, coursesOf, harmOfDay, KINDS, type Kind, RESPOND_MIN, rateOf, type Sums } from './harm.ts';
import type { Instant, Played } from './played.ts';

/** The state of the place, as the design says it follows from readings, active alarms and what cannot be seen. */
const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
const ACT_FROM = 0.25;
const WATCH_FROM = 0.05;
/** Within so much of a threshold either state is right; what the last day did is evaluated once a minute. */
const SHARE = 0.02;
const LEAST = 0.003;
const REFRESHED_MS = 61_000;
/** Rules that ask for somebody from the end of their delay. */
const AT_ONCE: readonly string[] = ['air-over-ceiling', 'air-far-over-ceiling', 'air-far-too-cold'];

export function unlikeDesign(played: Played): string[] {
  if (!played.clean) return [];
  const sums: Sums = new Map();
  return played.instants.flatMap((instant) => {
    if (instant.state === 'none') return [];
    const climate = climateOf(played.log.slice(0, instant.at));
    const states = [
      stateOf(instant, { climate, sums, atMs: instant.nowMs, factor: 1 + SHARE, more: LEAST }),
      stateOf(instant, {
        climate,
        sums,
        atMs: instant.nowMs - REFRESHED_MS,
        factor: 1 - SHARE,
        more: -LEAST,
      }),
    ];
    if (new Set(states).size > 1 || states[0] === instant.state) return [];
    return [
      `at ${new Date(instant.nowMs).toISOString()} the place is to be “${states[0]}”, and says “${instant.state}”`,
    ];
  });
}

type StateQuestion = {
  readonly climate: Climate;
  readonly sums: Sums;
  /** until when the last day is looked at */
  readonly atMs: number;
  readonly factor: number;
  readonly more: number;
};

function stateOf(instant: Instant, { climate, sums, atMs, factor, more }: StateQuestion): string {
  const courses = coursesOf(climate);
  const seen = courses.air.length > 0 ? courses.air : courses.rootZone;
  const { coveredMs, hasGap } = coverOf(seen, atMs);
  const harmOf = (kind: Kind) => {
    const harm = harmOfDay(kind, { course: courses[COURSE_OF[kind]], climate, nowMs: atMs, sums });
    return harm === 0 ? 0 : Math.max(0, harm * factor + more);
  };
  const isKnown = coveredMs >= 10 * MINUTE_MS;
  const harm = new Map(KINDS.map((kind) => [kind, isKnown ? harmOf(kind) : 0]));
  const now = newestOf(climate, instant.nowMs);
  const moment = climate.momentAt(instant.nowMs);
  const rates = new Map(
    KINDS.map((kind) => {
      const value = now[COURSE_OF[kind]];
      return [kind, value === null ? 0 : rateOf(kind, value, moment)];
    }),
  );
  const reaches = KINDS.some((kind) => {
    const rate = rates.get(kind) ?? 0;
    return rate > 0 && (harm.get(kind) ?? 0) + (rate * RESPOND_MIN[kind]) / 60 >= ACT_FROM;
  });
  const active = instant.alarms.filter((one) => one.active);
  const asks = active.some(({ rule, asksAtOnce }) => AT_ONCE.includes(rule) || asksAtOnce);
  const has = (position: string) => [...climate.readings.keys()].some((name) => name.startsWith(position));
  if (reaches || asks || (has('air/temperature') && now.air === null)) return 'act';
  const total = [...harm.values()].reduce((sum, one) => sum + one, 0);
  const { targets } = moment;
  const isOut =
    (now.air !== null &&
      (now.air < bandC(moment, 'air', 'lowC') ||
        now.air > bandC(moment, 'air', 'highC') ||
        now.air > targets.air.ceilingC)) ||
    (now.rootZone !== null &&
      (now.rootZone < bandC(moment, 'rootZone', 'lowC') ||
        now.rootZone > bandC(moment, 'rootZone', 'highC'))) ||
    (now.vpd !== null && now.vpd > targets.vpd.highKpa);
  const isUnseen =
    !has('air/temperature') ||
    (has('air/humidity') && now.humidity === null) ||
    (has('root/temperature') && now.rootZone === null);
  const isWatched = !isKnown || hasGap || total >= WATCH_FROM || isOut || isUnseen || active.length > 0;
  return isWatched ? 'watch' : 'ok';
}

/** The newest values, of the probes that report; null where none does. */
function newestOf(climate: Climate, nowMs: number) {
  const of = (position: string) =>
    medianOf(
      [...climate.readings].flatMap(([name, used]) => {
        const newest = used.at(-1);
        return name.startsWith(position) && newest && nowMs - newest.tMs <= MAX_GAP_MS ? [newest.value] : [];
      }),
    );
  const [air, humidity, rootZone] = [of('air/temperature'), of('air/humidity'), of('root/temperature')];
  const vpd = air === null || humidity === null ? null : vpdOf(air, humidity);
  return { air, humidity, rootZone, vpd };
}

/** How much of the last day is covered, and whether there is a gap in it that is over. */
function coverOf(course: readonly Piece[], nowMs: number) {
  const fromMs = nowMs - DAY_MS;
  let [coveredMs, hasGap] = [0, false];
  for (const [i, piece] of course.entries()) {
    if (piece.fromMs >= nowMs) break;
    coveredMs += Math.max(0, Math.min(piece.toMs, nowMs) - Math.max(piece.fromMs, fromMs));
    const before = course[i - 1];
    hasGap ||= before !== undefined && piece.fromMs - before.toMs >= 1 && piece.fromMs > fromMs;
  }
  return { coveredMs, hasGap };
}
