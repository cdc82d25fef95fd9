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
import { databaseFile, START_MS, startHouse } from '../house.ts';
import { seenIn } from './instant.ts';
import type { Happening, Instant, Played, Return, Values } from './played.ts';
import type { Deed, ProbeName, Spell, Story } from './story.ts';
import { type Course, recordsOf, valuesAt } from './values.ts';

const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** Between messages lie a few seconds more than whole minutes, so that no delay ends with a reading. */
const ODD_MS = 7 * SECOND_MS;
const SAMPLE_EVERY_MS = 17 * MINUTE_MS;
/** Time is let pass for alarms so often, and every second about when a delay runs out. */
export const TURN_EVERY_MS = 30 * SECOND_MS;
const PULSE_MS = 5 * SECOND_MS;
const PLACE = 'bench-1';

type House = ReturnType<typeof startHouse>;

const isActive = ({ state }: AlarmRecord) => state === 'unacknowledged' || state === 'acknowledged';

/** Plays a story through the real daemon, on a real record, with the clock moved by hand. */
export async function play(story: Story): Promise<Played> {
  const stage = new Stage(story);
  for (const spell of story.spells) await stage.play(spell);
  return stage.end();
}

/** A daemon with one place, and what was done to it so far. */
class Stage {
  readonly #story: Story;
  readonly #startMs: number;
  readonly #hand: ReturnType<typeof clockByHand>;
  readonly #store: ReturnType<typeof openStore>;
  readonly #timers: Timers;
  readonly #keep: House['keep'];
  readonly #log: Happening[] = [];
  readonly #instants: Instant[] = [];
  readonly #returns: Return[] = [];
  #house: House;
  #active = new Set<LimitRule>();
  #course: Course;
  #silent: ReadonlySet<ProbeName> = new Set();
  #sent = 0;
  #sampledMs: number;

  constructor(story: Story) {
    this.#story = story;
    this.#startMs = START_MS + (story.startHour - 10) * HOUR_MS;
    this.#sampledMs = this.#startMs;
    const hand = clockByHand(this.#startMs);
    this.#hand = hand;
    this.#store = openStore({ file: databaseFile(), nowMs: this.#startMs });
    this.#timers = {
      ...hand.timers,
      every: (ms, run) =>
        ms === SECOND_MS
          ? hand.timers.every(ms, () => (this.#isTurn() ? run() : undefined))
          : hand.timers.every(Math.max(ms, HOUR_MS), run),
    };
    this.#house = startHouse({ store: this.#store, hand: { ...hand, timers: this.#timers } });
    this.#keep = this.#house.keep;
    const still = story.spells[0] as Spell;
    this.#course = { from: still, to: still, sinceMs: this.#startMs };
  }

  #nowMs(): number {
    return this.#hand.clock.nowMs();
  }

  #isTurn(): boolean {
    const atMs = this.#nowMs();
    return atMs % TURN_EVERY_MS < SECOND_MS || isDue([...this.#house.daemon.world.alarms.values()], atMs);
  }

  /** Notes which alarms returned by what just happened. */
  #watch(how: Return['how'], values: Values): void {
    const { world } = this.#house.daemon;
    const before = this.#active;
    this.#active = new Set(LIMIT_RULES.filter((rule) => isActive(world.alarm({ placeId: PLACE, rule }))));
    for (const rule of before) {
      if (this.#active.has(rule)) continue;
      const [newest] = this.#store.alarms.events(`${PLACE}.${rule}`);
      const { facts } = world.alarm({ placeId: PLACE, rule });
      if (newest?.transition === 'returned')
        this.#returns.push({ rule, how, values, atMs: this.#nowMs(), facts });
    }
  }

  #pass(ms: number): void {
    this.#hand.pass(ms);
    this.#log.push({ kind: 'time', toMs: this.#nowMs() });
    this.#watch('time', new Map());
  }

  #restart(downMin: number): void {
    const fromMs = this.#nowMs();
    this.#house.daemon.stop();
    this.#hand.pass(downMin * MINUTE_MS);
    const hand = { ...this.#hand, timers: this.#timers };
    this.#house = startHouse({ store: this.#store, hand, keep: this.#keep });
    this.#log.push({ kind: 'down', fromMs, toMs: this.#nowMs() });
  }

  #do(deed: Deed): void {
    if (deed.kind === 'restart') this.#restart(deed.downMin);
    else if (deed.kind === 'clock') {
      this.#hand.jump(deed.byMin * MINUTE_MS);
      this.#log.push({ kind: 'clock' });
    } else {
      const note = (happening: Happening) => void this.#log.push(happening);
      done(deed, { house: this.#house, note, nowMs: this.#nowMs() });
    }
    this.#watch('time', new Map());
  }

  /** Plays one spell: its deeds, then its climate. */
  async play(spell: Spell): Promise<void> {
    const [begunMs, before] = [this.#nowMs(), this.#silent];
    for (const deed of this.#sent === 0 ? [] : spell.deeds) this.#do(deed);
    this.#course = { from: this.#course.to, to: spell, sinceMs: begunMs };
    this.#silent = new Set(spell.silent);
    const stepMs = this.#story.cadenceMin * MINUTE_MS + ODD_MS;
    for (let passedMs = 0; passedMs < spell.minutes * MINUTE_MS; passedMs += stepMs) {
      const values = await this.#report(passedMs === 0 ? before : new Set());
      const everyMs = (spell.mistEveryMin ?? 0) * MINUTE_MS;
      const isPulse =
        everyMs > 0 &&
        values.has('mist/valve') &&
        Math.floor(passedMs / everyMs) !== Math.floor((passedMs - stepMs) / everyMs);
      if (isPulse) await this.#pulse();
      this.#pass(isPulse ? stepMs - PULSE_MS : stepMs);
      this.#sample();
    }
  }

  async #report(back: ReadonlySet<ProbeName>): Promise<Values> {
    const tMs = this.#nowMs();
    const of = { story: this.#story, nowMs: tMs, sent: this.#sent, silent: this.#silent, back };
    const values = valuesAt(this.#course, of);
    if (values.size === 0) return values;
    await this.#house.report(recordsOf(values));
    this.#log.push({ kind: 'pack', tMs, values });
    this.#watch('pack', values);
    this.#sent += 1;
    return values;
  }

  async #pulse(): Promise<void> {
    await this.#house.report([{ n: 'mist/valve', vb: true }]);
    this.#pass(PULSE_MS);
    await this.#house.report([{ n: 'mist/valve', vb: false }]);
  }

  #sample(): void {
    const nowMs = this.#nowMs();
    if (nowMs - this.#sampledMs < SAMPLE_EVERY_MS && nowMs >= this.#sampledMs) return;
    this.#sampledMs = nowMs;
    this.#instants.push(seenIn(this.#house.daemon, { nowMs, at: this.#log.length }));
  }

  end(): Played {
    const [fromMs, toMs] = [this.#startMs, this.#nowMs()];
    const { queries } = this.#house.daemon;
    const each = <T>(of: (rule: LimitRule) => T) =>
      new Map(LIMIT_RULES.map((rule) => [rule, of(rule)] as const));
    const clean = !this.#log.some(({ kind }) => kind === 'clock');
    const span = { fromMs, toMs };
    const played: Played = {
      story: this.#story,
      startMs: fromMs,
      endMs: toMs,
      log: this.#log,
      instants: this.#instants,
      returns: this.#returns,
      clean,
      events: each((rule) => this.#store.alarms.events(`${PLACE}.${rule}`).toReversed()),
      trials:
        clean && this.#sent > 0
          ? each((rule) => queries.tryOnPast(PLACE, { rule, span, trial: {} }).alarms)
          : new Map(),
    };
    this.#house.daemon.stop();
    this.#store.close();
    return played;
  }
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
