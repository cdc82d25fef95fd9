import { invariant } from '../../shared/faults.ts';
import type { AlarmRule } from '../../shared/model/alarm-rules.ts';
import type { Place } from '../../shared/model/place.ts';
import type { Probe } from '../../shared/model/probe.ts';
import type { Targets, TargetsFrom } from '../../shared/model/targets.ts';
import { type Annunciated, FLOOD_REMEMBERED_MS } from '../domain/alarms/flood.ts';
import { type AlarmRecord, alarmId, newAlarm } from '../domain/alarms/record.ts';
import { WHOLE_PLACE } from '../domain/alarms/signals.ts';
import { TRAIL_OVER_MS, type Trail, withStep } from '../domain/alarms/trail.ts';
import { targetsAt, targetsInForce } from '../domain/places/targets-history.ts';
import { type Heard, heardOnce } from '../domain/present/heard.ts';
import { isCatchingUp, type Late } from '../domain/present/late.ts';
import type { Store } from '../ports.ts';

/** More than anybody was ever told of in a day. */
const MOST_TOLD = 20_000;

/**
 * What the daemon holds in memory, all of it read from the store: places, probes, targets in force,
 * newest readings, alarms. Changed only beside the same change in the store; `reload` makes it again.
 */
export class World {
  readonly places = new Map<string, Place>();
  readonly probes = new Map<number, Probe>();
  readonly heard = new Map<number, Heard>();
  readonly alarms = new Map<string, AlarmRecord>();
  /** the last hour of each root-zone probe, thinned */
  readonly trails = new Map<number, Trail>();
  /** the cadence of each probe as it is kept, ms */
  readonly cadencesKept = new Map<number, number>();
  /** probes known from a file alone */
  readonly fromFile = new Set<number>();
  /** probes whose readings arrive late; not in the record, so kept when that is read again */
  readonly late = new Map<number, Late>();
  /** what people were told of lately, for telling a flood of alarms */
  annunciated: readonly Annunciated[] = [];
  /** what else must be made again from what was read */
  afterReload: () => void = () => undefined;
  readonly #probesByName = new Map<string, Probe>();
  readonly #probesByPlace = new Map<string, Probe[]>();
  readonly #histories = new Map<string, TargetsFrom[]>();
  readonly #store: Store;

  constructor(store: Store) {
    this.#store = store;
    this.reload();
  }

  /** Reads everything again, as after a start; also the way back after a commit that failed. */
  reload(): void {
    for (const map of [this.places, this.probes, this.heard, this.alarms, this.trails]) map.clear();
    for (const map of [this.#probesByName, this.#probesByPlace, this.#histories]) map.clear();
    this.fromFile.clear();
    this.cadencesKept.clear();
    for (const place of this.#store.places.all()) this.putPlace(place);
    for (const probe of this.#store.probes.all()) this.#loadProbe(probe);
    for (const probeId of this.#store.probes.fromFile()) this.fromFile.add(probeId);
    for (const record of this.#store.alarms.all()) this.alarms.set(record.id, this.#caughtUp(record));
    this.annunciated = this.#toldLately();
    this.afterReload();
  }

  putPlace(place: Place): void {
    this.places.set(place.id, place);
    this.#histories.set(place.id, targetsInForce(this.#store.places.targetsEntries(place.id)));
  }

  putProbe(probe: Probe): void {
    this.probes.set(probe.id, probe);
    this.#probesByName.set(nameKey(probe), probe);
    if (probe.placeId === null) return;
    const others = this.probesOf(probe.placeId).filter((other) => other.id !== probe.id);
    this.#probesByPlace.set(probe.placeId, [...others, probe]);
  }

  probeNamed(name: { device: string; name: string }): Probe | null {
    return this.#probesByName.get(nameKey(name)) ?? null;
  }

  probesOf(placeId: string): readonly Probe[] {
    return this.#probesByPlace.get(placeId) ?? [];
  }

  probesOfDevice(device: string): number {
    let count = 0;
    for (const probe of this.probes.values()) if (probe.device === device) count++;
    return count;
  }

  history(placeId: string): readonly TargetsFrom[] {
    const history = this.#histories.get(placeId);
    invariant(history, `the place ${placeId} has no targets`);
    return history;
  }

  targets(placeId: string, atMs: number): Targets {
    return targetsAt(this.history(placeId), atMs);
  }

  /** The alarm of a rule at a place, or of the house (`null`); made on first need. */
  alarm(of: { placeId: string | null; rule: AlarmRule }): AlarmRecord {
    return this.alarms.get(alarmId(of)) ?? newAlarm(of);
  }

  /** Time of the newest reading of any probe of a place, ms since epoch; 0 before the first. */
  newestMs(placeId: string): number {
    return this.probesOf(placeId).reduce((max, { id }) => Math.max(max, this.heard.get(id)?.tMs ?? 0), 0);
  }

  /** The devices of a place that send what they kept, and are coming nearer to now, ms since epoch. */
  catchingUp(placeId: string, nowMs: number): Set<string> {
    const late = this.probesOf(placeId).filter(({ id }) => isCatchingUp(this.late.get(id), nowMs));
    return new Set(late.map(({ device }) => device));
  }

  /** Takes a probe's newest reading. */
  hear(probe: Probe, heard: Heard): void {
    this.heard.set(probe.id, heard);
    if (probe.quantity === 'root/temperature')
      this.trails.set(probe.id, withStep(this.trails.get(probe.id) ?? [], heard));
  }

  /** As `keepStep` notes it: a raising without a reason not to tell. */
  #toldLately(): Annunciated[] {
    let newestMs = 0;
    for (const { raisedAtMs } of this.alarms.values()) newestMs = Math.max(newestMs, raisedAtMs ?? 0);
    const span = { fromMs: newestMs - FLOOD_REMEMBERED_MS + 1, toMs: Number.MAX_SAFE_INTEGER };
    return this.#store.alarms
      .eventsIn({ ...span, limit: MOST_TOLD })
      .filter(({ transition, note }) => transition === 'raised' && note === null);
  }

  /** Takes what is remembered of a probe's readings from the record again, as when they are corrected otherwise. */
  hearAgain(probeId: number): void {
    const [probe, heard] = [this.probes.get(probeId), this.heard.get(probeId)];
    if (!probe || !heard) return;
    const span = { fromMs: heard.recent[0]?.tMs ?? heard.tMs, toMs: heard.tMs };
    const [found] = this.#store.journal.window({ probeIds: [probeId], ...span, asTold: true });
    if (!found) return;
    const used = (tMs: number, i: number) =>
      this.#store.corrections.valueOf({ probeId, tMs, value: found.values[i] as number });
    const at = new Map(Array.from(found.timesMs, (tMs, i) => [tMs, used(tMs, i)]));
    const again = (one: { tMs: number; value: number }) => ({ ...one, value: at.get(one.tMs) ?? one.value });
    const { value } = again(heard);
    this.heard.set(probeId, { ...heard, value, recent: heard.recent.map(again) });
    if (probe.quantity === 'root/temperature') this.trails.set(probeId, this.#trailOf(probeId, heard.tMs));
  }

  /** Whether a probe was in a bath or jar at a time, ms since epoch: what it told then says nothing of its place. */
  isAway(probeId: number, tMs: number): boolean {
    return this.#store.corrections.isAway(probeId, tMs);
  }

  #loadProbe(probe: Probe): void {
    this.putProbe(probe);
    const latest = this.#store.journal.latest(probe.id);
    const cadenceMs = this.#store.journal.progressOf(probe.id)?.cadenceMs ?? null;
    if (cadenceMs !== null) this.cadencesKept.set(probe.id, cadenceMs);
    if (!latest) return;
    this.heard.set(probe.id, heardOnce({ ...latest, cadenceMs }));
    if (probe.quantity === 'root/temperature') this.trails.set(probe.id, this.#trailOf(probe.id, latest.tMs));
  }

  #trailOf(probeId: number, toMs: number): Trail {
    const span = { fromMs: toMs - TRAIL_OVER_MS, toMs };
    const [readings] = this.#store.journal.window({ probeIds: [probeId], ...span });
    if (!readings) return [];
    const { timesMs, values } = readings;
    return [...timesMs].reduce<Trail>(
      (trail, tMs, i) => withStep(trail, { tMs, value: values[i] as number }),
      [],
    );
  }

  /** Conditions are kept when they change phase only: how far each probe had been judged is in the record. */
  #caughtUp(record: AlarmRecord): AlarmRecord {
    const conditions = Object.entries(record.conditions).map(([id, condition]) => {
      const heardMs = id === WHOLE_PLACE ? 0 : (this.heard.get(Number(id))?.tMs ?? 0);
      // what arms was kept with each sample: its last is known
      const lastMs = condition.phase === 'arming' ? condition.lastMs : Math.max(condition.lastMs, heardMs);
      return [id, { ...condition, lastMs }];
    });
    return { ...record, conditions: Object.fromEntries(conditions) };
  }
}

function nameKey({ device, name }: { device: string; name: string }): string {
  return `${device}\n${name}`;
}
