import type { HarmKind } from '../../../../../shared/harm/scale.ts';
import { harmLimitAt } from '../../../../../shared/rules/harm.ts';
import { LIMIT_RULE_DEFINITIONS, LIMIT_RULES, type LimitRule } from '../../../../../shared/rules/rules.ts';
import { climateOf, MAX_GAP_MS, type Moment, type Used, vpdOf } from './climate.ts';
import type { Happening, Instant, Played } from './played.ts';

/** Every instant at which harm has lasted for longer than its rule waits has an active alarm of that kind, or a named reason. */
const MINUTE_MS = 60_000;
const SETTLED_MS = 10 * MINUTE_MS;
/** Time is let pass for alarms every half a minute. */
const SLACK_MS = 32_000;
const IN_LIGHT_PPFD = 20;

/** The rule that must call, by kind of harm and half of the day. */
function ruleOf(kind: HarmKind, night: boolean): LimitRule {
  switch (kind) {
    case 'air-over-ceiling':
      return 'air-over-ceiling';
    case 'root-zone-over-ceiling':
      return 'root-too-hot';
    case 'air-far-too-cold':
      return 'air-far-too-cold';
    case 'vpd-above-band':
      return 'vpd-above-band-in-light';
    case 'root-zone-below-band':
      return 'root-below-band';
    case 'air-below-band':
      return night ? 'air-below-band-at-night' : 'air-below-band-by-day';
  }
}

const KINDS: readonly HarmKind[] = [
  'air-over-ceiling',
  'root-zone-over-ceiling',
  'air-far-too-cold',
  'vpd-above-band',
  'root-zone-below-band',
  'air-below-band',
];

export function unalarmed(played: Played): string[] {
  if (!played.clean) return [];
  return played.instants.flatMap((instant) => {
    const log = played.log.slice(0, instant.at);
    return [...KINDS.flatMap((kind) => missing(kind, { instant, log })), ...unnamed(instant)];
  });
}

type At = { readonly instant: Instant; readonly log: readonly Happening[] };

function missing(kind: HarmKind, { instant, log }: At): string[] {
  const climate = climateOf(log);
  const { night } = climate.momentAt(instant.nowMs);
  const rule = ruleOf(kind, night);
  const sinceMs = judgedSinceMs(rule, log);
  const calls = (LIMIT_RULES as readonly LimitRule[]).filter((one) => {
    const { harm } = LIMIT_RULE_DEFINITIONS[one] as { harm?: HarmKind };
    return harm === kind || (kind === 'air-below-band' && harm === 'air-far-too-cold');
  });
  if (instant.alarms.some((one) => one.active && (calls as readonly string[]).includes(one.rule))) return [];
  const sources = kind === 'vpd-above-band' ? [placeCourse(log)] : probesOf(kind, climate.readings);
  const lasted = sources.map((course) =>
    spentMs(
      kind,
      course.filter(({ tMs }) => tMs >= sinceMs),
      { momentAt: climate.momentAt, nowMs: instant.nowMs },
    ),
  );
  const { onDelayMs } = LIMIT_RULE_DEFINITIONS[rule];
  if (!lasted.some((ms) => ms >= onDelayMs)) return [];
  const spent = Math.round(Math.max(...lasted) / MINUTE_MS);
  return [
    `${kind} at ${new Date(instant.nowMs).toISOString()} has no alarm after ${spent} min of a delay of ${onDelayMs / MINUTE_MS}`,
  ];
}

/** From when on a rule is judged: its first ten minutes are over, and it is not switched off. */
function judgedSinceMs(rule: LimitRule, log: readonly Happening[]): number {
  const definition = LIMIT_RULE_DEFINITIONS[rule] as { needsMat?: boolean; fromFirst?: boolean };
  const first = log.find((one) => one.kind === 'pack');
  let asked: { on: boolean | null; mat: boolean | null } = { on: null, mat: null };
  let [atMs, sinceMs] = [0, definition.fromFirst ? 0 : (first?.tMs ?? 0) + SETTLED_MS];
  for (const one of log) {
    if (one.kind === 'pack') atMs = one.tMs;
    if (one.kind === 'time') atMs = one.toMs;
    if (one.kind === 'rule' && one.rule === rule) asked = { ...asked, on: one.on };
    if (one.kind === 'mat') asked = { ...asked, mat: one.mat };
    const isOn = asked.on ?? !(definition.needsMat && asked.mat === false);
    if (!isOn) sinceMs = Number.POSITIVE_INFINITY;
    else if (!Number.isFinite(sinceMs)) sinceMs = atMs;
  }
  return sinceMs;
}

function probesOf(kind: HarmKind, readings: ReadonlyMap<string, readonly Used[]>): (readonly Used[])[] {
  const position = kind.startsWith('air') ? 'air/temperature' : 'root/temperature';
  return [...readings].filter(([name]) => name.startsWith(position)).map(([, used]) => used);
}

/** Deficit of the air at each message, of the newest readings, in light; one in the dark is within any limit. */
function placeCourse(log: readonly Happening[]): Used[] {
  const { readings, momentAt } = climateOf(log);
  const next = new Map([...readings.keys()].map((name) => [name, 0]));
  const times = [
    ...new Set(
      [...readings].flatMap(([name, used]) => (name.startsWith('air/') ? used.map(({ tMs }) => tMs) : [])),
    ),
  ];
  return times
    .sort((a, b) => a - b)
    .flatMap((tMs) => {
      const fresh = (position: string) =>
        [...readings].flatMap(([name, used]) => {
          let at = next.get(name) ?? 0;
          while ((used[at]?.tMs ?? Number.POSITIVE_INFINITY) <= tMs) at++;
          next.set(name, at);
          const newest = used[at - 1];
          return name.startsWith(position) && newest && tMs - newest.tMs <= MAX_GAP_MS ? [newest.value] : [];
        });
      const [air, humidity, light] = [fresh('air/temperature'), fresh('air/humidity'), fresh('light/')];
      const mean = (values: readonly number[]) =>
        values.reduce((sum, value) => sum + value, 0) / values.length;
      if (air.length === 0 || humidity.length === 0) return [];
      const isLight = light.length > 0 ? light.some((ppfd) => ppfd >= IN_LIGHT_PPFD) : !momentAt(tMs).night;
      return [{ tMs, value: isLight ? (vpdOf(mean(air), mean(humidity)) ?? 0) : 0 }];
    });
}

type DelayQuestion = { readonly momentAt: (tMs: number) => Moment; readonly nowMs: number };

/** How much of the delay has been spent by readings beyond the limit of harm, one after the other, of one half of the day. */
function spentMs(kind: HarmKind, course: readonly Used[], { momentAt, nowMs }: DelayQuestion): number {
  const beyond = (one: Used) => {
    const moment = momentAt(one.tMs);
    const { targets, night, share } = moment;
    const limit = harmLimitAt(kind, { targets, night, dayShare: share })?.limit;
    if (limit === undefined) return 0;
    return kind.endsWith('ceiling') || kind.startsWith('vpd') ? one.value - limit : limit - one.value;
  };
  const newest = course.at(-1);
  if (!newest || nowMs - newest.tMs > MAX_GAP_MS) return 0;
  const { night } = momentAt(nowMs);
  const first = course.findLastIndex((one) => beyond(one) <= 0 || momentAt(one.tMs).night !== night);
  const { halving } = LIMIT_RULE_DEFINITIONS[ruleOf(kind, night)];
  return course.slice(first + 1).reduce((spent, one, i, run) => {
    const toMs = run[i + 1]?.tMs ?? nowMs - SLACK_MS;
    const pace = halving === null ? 1 : 2 ** Math.min(beyond(one) / halving, 10);
    return spent + Math.max(0, toMs - one.tMs) * pace;
  }, 0);
}

/** An active alarm that calls nobody names its reason, and the one announced for it is active itself. */
function unnamed({ alarms, nowMs }: Instant): string[] {
  return alarms.flatMap(({ rule, active, suppression, why }) => {
    if (!active || suppression === 'none') return [];
    const when = new Date(nowMs).toISOString();
    if (!why) return [`${rule} is suppressed at ${when} without a reason`];
    const [, first] = /^it follows from bench-1\.(.+)$/.exec(why) ?? [];
    const speaks = first === undefined || alarms.some((one) => one.rule === first && one.active);
    return speaks ? [] : [`${rule} follows at ${when} from ${first}, which is not active`];
  });
}
