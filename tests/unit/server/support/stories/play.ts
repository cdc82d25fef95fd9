import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { AlarmRecord } from '../../../../../server/domain/alarms/record.ts';
import type { Timers } from '../../../../../server/ports.ts';
import {
  isLimitRule,
  LIMIT_RULE_DEFINITIONS,
  LIMIT_RULES,
  type LimitRule,
} from '../../../../../shared/rules/rules.ts';
import { clockByHand } from '../hand.ts';
import { databaseFile, type SentRecord, START_MS, startHouse } from '../house.ts';
import { seenIn } from './instant.ts';
import type { Happening, Instant, Played, Return, Values } from './played.ts';
import { type Deed, PROBES, type ProbeName, type Spell, type Story } from './story.ts';

const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAWN_HOUR = 6;
const DUSK_HOUR = 20;
/** Between messages lie a few seconds more than whole minutes, so that no delay ends with a reading. */
const ODD_MS = 7 * SECOND_MS;
const LOOK_EVERY_MS = 17 * MINUTE_MS;
/** Time is let pass for alarms so often, and every second about when a delay runs out. */
export const TURN_EVERY_MS = 30 * SECOND_MS;
const POWER_UP_C = 85;
const PULSE_MS = 5 * SECOND_MS;
const PLACE = 'bench-1';

type House = ReturnType<typeof startHouse>;
type Course = { readonly from: Spell; readonly to: Spell; readonly sinceMs: number };

const isActive = ({ state }: AlarmRecord) => state === 'unacknowledged' || state === 'acknowledged';

/** Plays a story through the real daemon, on a real record, with the clock moved by hand. */
export async function play(story: Story): Promise<Played> {
  const startMs = START_MS + (story.startHour - 10) * HOUR_MS;
  const hand = clockByHand(startMs);
  const store = openStore({ file: databaseFile(), nowMs: startMs });
  let house: House;
  const isTurn = () => {
    const atMs = hand.clock.nowMs();
    return atMs % TURN_EVERY_MS < SECOND_MS || isDue([...house.daemon.world.alarms.values()], atMs);
  };
  const timers: Timers = {
    ...hand.timers,
    every: (ms, run) =>
      ms === SECOND_MS
        ? hand.timers.every(ms, () => (isTurn() ? run() : undefined))
        : hand.timers.every(Math.max(ms, HOUR_MS), run),
  };
  house = startHouse({ store, hand: { ...hand, timers } });
  const { keep } = house;
  const nowMs = () => hand.clock.nowMs();
  const log: Happening[] = [];
  const instants: Instant[] = [];
  const returns: Return[] = [];
  let active = new Set<LimitRule>();
  const watched = (how: Return['how'], values: Values) => {
    const before = active;
    active = new Set(
      LIMIT_RULES.filter((rule) => isActive(house.daemon.world.alarm({ placeId: PLACE, rule }))),
    );
    for (const rule of before) {
      if (active.has(rule)) continue;
      const [newest] = store.alarms.events(`${PLACE}.${rule}`);
      const { facts } = house.daemon.world.alarm({ placeId: PLACE, rule });
      if (newest?.transition === 'returned') returns.push({ rule, how, values, atMs: nowMs(), facts });
    }
  };
  const pass = (ms: number) => {
    hand.pass(ms);
    log.push({ kind: 'time', toMs: nowMs() });
    watched('time', new Map());
  };
  const note = (happening: Happening) => void log.push(happening);
  const restart = (downMin: number) => {
    const fromMs = nowMs();
    house.daemon.stop();
    hand.pass(downMin * MINUTE_MS);
    house = startHouse({ store, hand: { ...hand, timers }, keep });
    note({ kind: 'down', fromMs, toMs: nowMs() });
  };
  const still = story.spells[0] as Spell;
  let course: Course = { from: still, to: still, sinceMs: startMs };
  let sent = 0;
  let lookedMs = startMs;
  let silent: ReadonlySet<ProbeName> = new Set();
  for (const spell of story.spells) {
    const [begunMs, before] = [nowMs(), silent];
    for (const deed of sent === 0 ? [] : spell.deeds) {
      if (deed.kind === 'restart') restart(deed.downMin);
      else if (deed.kind === 'clock') {
        hand.jump(deed.byMin * MINUTE_MS);
        note({ kind: 'clock' });
      } else done(deed, { house, note, nowMs: nowMs() });
      watched('time', new Map());
    }
    course = { from: course.to, to: spell, sinceMs: begunMs };
    silent = new Set(spell.silent);
    let passedMs = 0;
    let first = true;
    while (passedMs < spell.minutes * MINUTE_MS) {
      const values = valuesAt(course, {
        story,
        nowMs: nowMs(),
        sent,
        silent,
        back: first ? before : new Set(),
      });
      first = false;
      if (values.size > 0) {
        const atMs = nowMs();
        await house.report(recordsOf(values));
        note({ kind: 'pack', tMs: atMs, values });
        watched('pack', values);
        sent += 1;
      }
      const stepMs = story.cadenceMin * MINUTE_MS + ODD_MS;
      const pulse = spell.mistEveryMin !== null && values.has('mist/valve');
      if (
        pulse &&
        Math.floor(passedMs / (spell.mistEveryMin * MINUTE_MS)) !==
          Math.floor((passedMs - stepMs) / (spell.mistEveryMin * MINUTE_MS))
      ) {
        await house.report([{ n: 'mist/valve', vb: true }]);
        pass(PULSE_MS);
        await house.report([{ n: 'mist/valve', vb: false }]);
        pass(stepMs - PULSE_MS);
      } else pass(stepMs);
      passedMs += stepMs;
      if (nowMs() - lookedMs < LOOK_EVERY_MS && nowMs() >= lookedMs) continue;
      lookedMs = nowMs();
      instants.push(seenIn(house.daemon, { nowMs: lookedMs, at: log.length }));
    }
  }
  const endMs = nowMs();
  const trials = () =>
    new Map(
      LIMIT_RULES.map((rule) => {
        const span = { fromMs: startMs, toMs: endMs };
        return [rule, house.daemon.queries.tryOnPast(PLACE, { rule, span, trial: {} }).alarms] as const;
      }),
    );
  const clean = !log.some(({ kind }) => kind === 'clock');
  const result: Played = {
    story,
    startMs,
    endMs,
    log,
    instants,
    returns,
    clean,
    events: new Map(
      LIMIT_RULES.map((rule) => [rule, store.alarms.events(`${PLACE}.${rule}`).toReversed()] as const),
    ),
    trials: clean && sent > 0 ? trials() : new Map(),
  };
  house.daemon.stop();
  store.close();
  return result;
}

/** Whether a delay is about to run out. */
function isDue(alarms: readonly AlarmRecord[], atMs: number): boolean {
  return alarms.some(({ rule, conditions }) => {
    if (!isLimitRule(rule)) return false;
    const { onDelayMs } = LIMIT_RULE_DEFINITIONS[rule];
    return Object.values(conditions).some(({ phase, lastMs, elapsedMs, pace }) => {
      if (phase !== 'arming') return false;
      const inMs = lastMs + (onDelayMs - elapsedMs) / pace - atMs;
      return inMs < 2 * SECOND_MS && inMs > -11 * MINUTE_MS;
    });
  });
}

type Doing = { readonly house: House; readonly note: (happening: Happening) => void; readonly nowMs: number };

function done(deed: Exclude<Deed, { kind: 'restart' | 'clock' }>, { house, note, nowMs }: Doing): void {
  const { orders, queries, checks, archive, world } = house.daemon;
  const idOf = (name: ProbeName) => world.probeNamed({ device: PLACE, name })?.id;
  switch (deed.kind) {
    case 'acknowledge':
      for (const { id, state } of queries.alarms()) if (state !== 'normal') orders.acknowledge(id);
      return;
    case 'shelve':
      if (world.alarms.has(`${PLACE}.${deed.rule}`))
        orders.shelve(`${PLACE}.${deed.rule}`, { minutes: deed.minutes, reason: 'a story' });
      return;
    case 'out-of-service':
    case 'in-service': {
      const id = `${PLACE}.${deed.rule}`;
      if (!world.alarms.has(id)) return;
      if (deed.kind === 'in-service') orders.putInService(id);
      else orders.takeOutOfService(id, { reason: 'a story' });
      return;
    }
    case 'targets': {
      const before = queries.targets(PLACE);
      const { ceilingC, dayLowC, nightLowC, rootLowC, vpdHighKpa, rampMin, peakPpfdUmolM2S } = deed.change;
      const { day, night } = before.air;
      const rootZone = { ...before.rootZone.day, lowC: rootLowC ?? before.rootZone.day.lowC };
      const targets = {
        ...before,
        rampMin: rampMin ?? before.rampMin ?? 0,
        rootZone: { day: rootZone, night: rootZone },
        air: {
          day: { ...day, lowC: dayLowC ?? day.lowC },
          night: { ...night, lowC: nightLowC ?? night.lowC },
          ceilingC: ceilingC ?? before.air.ceilingC,
        },
        vpd: { ...before.vpd, highKpa: vpdHighKpa ?? before.vpd.highKpa },
        ...(peakPpfdUmolM2S === undefined ? {} : { alarms: { peakPpfdUmolM2S } }),
      };
      orders.setTargets(PLACE, { targets, fromMs: null });
      note({ kind: 'targets', fromMs: nowMs, targets });
      return;
    }
    case 'correct': {
      const probeId = idOf(deed.probe);
      if (probeId === undefined || deed.probe === 'mist/valve') return;
      const line = { gain: 1, offset: deed.offset };
      checks.correct(probeId, { ...line, fromMs: null, reason: 'a story', checkId: null });
      note({ kind: 'correct', probe: deed.probe, offset: deed.offset, atMs: nowMs });
      return;
    }
    case 'archive': {
      const probeId = idOf(deed.probe);
      if (probeId === undefined) return;
      archive.archive({ kind: 'probe', probeId });
      note({ kind: 'archive', probe: deed.probe, atMs: nowMs });
      return;
    }
    case 'rule': {
      const { alarms } = queries.place(PLACE).settings;
      orders.patchPlace(PLACE, { settings: { alarms: { ...alarms, [deed.rule]: { on: deed.on } } } });
      note({ kind: 'rule', rule: deed.rule, on: deed.on });
      return;
    }
    case 'answer':
      orders.patchPlace(PLACE, { settings: { questionsOpen: false, mat: deed.mat } });
      note({ kind: 'mat', mat: deed.mat });
      return;
  }
}

type Asked = {
  readonly story: Story;
  readonly nowMs: number;
  readonly sent: number;
  readonly silent: ReadonlySet<ProbeName>;
  /** silent until now */
  readonly back: ReadonlySet<ProbeName>;
};

/** What each probe of the place reads at a moment, in its unit. */
function valuesAt({ from, to, sinceMs }: Course, { story, nowMs, sent, silent, back }: Asked): Values {
  const share = to.overMin === 0 ? 1 : Math.min(1, (nowMs - sinceMs) / (to.overMin * MINUTE_MS));
  const between = (a: number, b: number) => a + (b - a) * share;
  // a real chip never says the same for hours
  const noise = ((sent % 5) - 2) * 0.02;
  const hour = new Date(nowMs).getUTCHours();
  const isDay = hour >= DAWN_HOUR && hour < DUSK_HOUR;
  const ppfd = { sun: isDay ? 300 : 0, lamp: 100, dark: 0 }[to.light];
  const of = (name: ProbeName): number => {
    if (name === 'mist/valve') return 0;
    if (name === 'light/ppfd') return Math.max(0, ppfd + noise);
    const apart = name.endsWith('/2') ? between(from.apart, to.apart) : 0;
    if (name.startsWith('air/humidity'))
      return Math.min(100, Math.max(0, between(from.humidityPct, to.humidityPct) + 3 * apart + noise));
    if (back.has(name) && to.powerUp) return POWER_UP_C;
    const isAir = name.startsWith('air');
    return (isAir ? between(from.airC, to.airC) : between(from.rootC, to.rootC)) + apart + noise;
  };
  const reporting = PROBES.filter((name) => story.probes.includes(name) && !silent.has(name));
  return new Map(reporting.map((name) => [name, of(name)]));
}

function recordsOf(values: Values): SentRecord[] {
  return [...values].map(([n, v]) => {
    if (n === 'mist/valve') return { n, vb: v > 0 };
    if (n === 'light/ppfd') return { n, u: 'umol/m2/s', v };
    return { n, u: n.startsWith('air/humidity') ? '%RH' : 'Cel', v };
  });
}
