import { invariant } from '../../../shared/faults.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { Targets, TargetsFrom } from '../../../shared/model/targets.ts';
import type { AlarmRule } from '../../../shared/rules/rules.ts';
import type { Sample } from '../../domain/alarms/limit-alarm.ts';
import { type Annunciated, FLOOD_REMEMBERED_MS } from '../../domain/alarms/nuisance/flood.ts';
import { type AlarmRecord, alarmId, newAlarm } from '../../domain/alarms/record.ts';
import { WHOLE_PLACE } from '../../domain/alarms/signals.ts';
import { TRAIL_OVER_MS, type Trail, withStep } from '../../domain/alarms/trail.ts';
import type { JudgedCause } from '../../domain/causes/judged.ts';
import { targetsAt, targetsInForce } from '../../domain/places/targets-history.ts';
import { isCatchingUp, type Late } from '../../domain/present/late.ts';
import { type LatestReadings, latestFrom } from '../../domain/present/latest-readings.ts';
import { isNoMeasurementAlone } from '../../domain/probes/left-out.ts';
import type { ArchiveScope, Store } from '../../ports.ts';
import { ArchivedIndex } from './archived-names.ts';
import { FirstMinutes } from './first-minutes.ts';

/** More than anybody was ever notified of in a day. */
const MAX_ANNOUNCED = 20_000;

/**
 * What the daemon holds in memory, all of it read from the store: places, probes, targets in force,
 * newest readings, alarms. What was archived or deleted is not in it, so nobody has to leave it out. Changed only beside the same change in the store; `reload` makes it again.
 */
export class World {
  readonly places = new Map<string, Place>();
  readonly probes = new Map<number, Probe>();
  readonly latest = new Map<number, LatestReadings>();
  readonly alarms = new Map<string, AlarmRecord>();
  /** the last hour of each root-zone probe, thinned */
  readonly trails = new Map<number, Trail>();
  /** the newest sample of the record of each alarm that rests on one, by its id */
  readonly samples = new Map<string, Sample>();
  /** the cadence of each probe as it is kept, ms */
  readonly cadencesKept = new Map<number, number>();
  /** probes known from a file alone */
  readonly fromFile = new Set<number>();
  /** names that are taken by what was archived or deleted */
  archived = new ArchivedIndex({ places: [], probes: [] });
  /** probes whose readings arrive late; not in the record, so kept when that is read again */
  readonly late = new Map<number, Late>();
  /** what people were notified of lately, to recognise a flood of alarms */
  annunciated: readonly Annunciated[] = [];
  /** why alarms are active, as judged last, by their id */
  readonly causes = new Map<string, JudgedCause>();
  /** what else must be made again from what was read */
  afterReload: () => void = () => undefined;
  readonly #probesByName = new Map<string, Probe>();
  readonly #probesByPlace = new Map<string, Probe[]>();
  readonly #probesByDevice = new Map<string, Set<number>>();
  readonly #histories = new Map<string, TargetsFrom[]>();
  readonly #store: Store;
  readonly #first: FirstMinutes;
  readonly #latestMs: () => number;

  /** @param latestMs what is dated later, ms since epoch, comes from another clock and is not the newest */
  constructor(store: Store, latestMs: () => number = () => Number.POSITIVE_INFINITY) {
    this.#store = store;
    this.#first = new FirstMinutes(store);
    this.#latestMs = latestMs;
    this.reload();
  }

  /** Reads everything again, as after a start; also the way back after a commit that failed. */
  reload(): void {
    for (const map of [this.places, this.probes, this.latest, this.alarms, this.trails, this.samples])
      map.clear();
    for (const map of [this.#probesByName, this.#probesByPlace, this.#histories]) map.clear();
    this.#probesByDevice.clear();
    this.archived = new ArchivedIndex(this.#store.archive.names());
    this.fromFile.clear();
    this.#first.forget();
    this.cadencesKept.clear();
    for (const place of this.#store.places.all()) this.putPlace(place);
    for (const probe of this.#store.probes.all()) this.#loadProbe(probe);
    for (const probeId of this.#store.probes.fromFile()) this.fromFile.add(probeId);
    for (const record of this.#store.alarms.all()) this.alarms.set(record.id, this.#caughtUp(record));
    this.annunciated = this.#announcedLately();
    this.afterReload();
  }

  putPlace(place: Place): void {
    this.places.set(place.id, place);
    this.#histories.set(place.id, targetsInForce(this.#store.places.targetsEntries(place.id)));
  }

  putProbe(probe: Probe): void {
    this.probes.set(probe.id, probe);
    this.#probesByName.set(nameKey(probe), probe);
    const ofDevice = this.#probesByDevice.get(probe.device) ?? new Set();
    this.#probesByDevice.set(probe.device, ofDevice.add(probe.id));
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
    return this.#probesByDevice.get(device)?.size ?? 0;
  }

  /** Devices with probes. */
  devices(): string[] {
    return [...this.#probesByDevice.keys()];
  }

  /** Lets go of what went to the archive, beside the same change in the store. */
  letGo({ placeIds, probeIds }: ArchiveScope): void {
    for (const probeId of probeIds) this.#dropProbe(probeId);
    for (const placeId of placeIds) {
      this.places.delete(placeId);
      this.#histories.delete(placeId);
      this.#probesByPlace.delete(placeId);
      for (const [id, record] of this.alarms) if (record.placeId === placeId) this.alarms.delete(id);
    }
    this.archived = new ArchivedIndex(this.#store.archive.names());
  }

  /** Takes in what is live again, as after a start, beside the same change in the store. */
  takeIn(back: {
    readonly places: readonly Place[];
    readonly probes: readonly Probe[];
    readonly alarms: readonly AlarmRecord[];
  }): void {
    for (const place of back.places) this.putPlace(place);
    const fromFile = new Set(this.#store.probes.fromFile());
    for (const probe of back.probes) {
      this.#loadProbe(probe);
      if (fromFile.has(probe.id)) this.fromFile.add(probe.id);
    }
    for (const record of back.alarms) this.alarms.set(record.id, this.#caughtUp(record));
    this.archived = new ArchivedIndex(this.#store.archive.names());
    this.afterReload();
  }

  #dropProbe(probeId: number): void {
    const probe = this.probes.get(probeId);
    if (!probe) return;
    for (const map of [this.probes, this.latest, this.trails, this.cadencesKept]) map.delete(probeId);
    this.fromFile.delete(probeId);
    this.#probesByName.delete(nameKey(probe));
    const others = this.#probesByDevice.get(probe.device);
    others?.delete(probeId);
    if (others?.size === 0) this.#probesByDevice.delete(probe.device);
    if (probe.placeId === null) return;
    const left = this.probesOf(probe.placeId).filter(({ id }) => id !== probeId);
    this.#probesByPlace.set(probe.placeId, left);
  }

  history(placeId: string): readonly TargetsFrom[] {
    const history = this.#histories.get(placeId);
    invariant(history, `the place ${placeId} has no targets`);
    return history;
  }

  targets(placeId: string, atMs: number): Targets {
    return targetsAt(this.history(placeId), atMs);
  }

  /** The alarm of a rule at a place, or of the installation (`null`); made on first need. */
  alarm(of: { placeId: string | null; rule: AlarmRule }): AlarmRecord {
    return this.alarms.get(alarmId(of)) ?? newAlarm(of);
  }

  /** Time of the newest reading of any probe of a place, ms since epoch; 0 before the first. */
  newestMs(placeId: string): number {
    return this.probesOf(placeId).reduce((max, { id }) => Math.max(max, this.latest.get(id)?.tMs ?? 0), 0);
  }

  /** From when on every rule may raise an alarm at a place, ms since epoch; 0 where it has long been on record. */
  settledFromMs(placeId: string, atMs: number): number {
    // asked at every reading
    if (this.#first.isSettled(placeId)) return 0;
    return this.#first.settledFromMs({ ...this.#onRecord(placeId), newestMs: atMs });
  }

  /** Whether a place has reported for ten minutes, or three times. */
  hasReported(placeId: string): boolean {
    return this.#first.isReporting(placeId) || this.#first.hasReported(this.#onRecord(placeId));
  }

  #onRecord(placeId: string) {
    const probeIds = this.probesOf(placeId).map(({ id }) => id);
    return { placeId, probeIds, newestMs: this.newestMs(placeId) };
  }

  /** The devices of a place that send what they kept, and are coming nearer to now, ms since epoch. */
  catchingUp(placeId: string, nowMs: number): Set<string> {
    const late = this.probesOf(placeId).filter(({ id }) => isCatchingUp(this.late.get(id), nowMs));
    return new Set(late.map(({ device }) => device));
  }

  /** Takes a probe's newest reading. */
  setLatest(probe: Probe, newest: LatestReadings): void {
    this.latest.set(probe.id, newest);
    if (probe.quantity === 'root/temperature' && !isNoMeasurementAlone(newest.value))
      this.trails.set(probe.id, withStep(this.trails.get(probe.id) ?? [], newest));
  }

  /** As `keepStep` notes it: a raising without a reason not to announce it. */
  #announcedLately(): Annunciated[] {
    let newestMs = 0;
    for (const { raisedAtMs } of this.alarms.values()) newestMs = Math.max(newestMs, raisedAtMs ?? 0);
    newestMs = Math.min(this.#latestMs(), newestMs);
    const span = { fromMs: newestMs - FLOOD_REMEMBERED_MS + 1, toMs: Number.MAX_SAFE_INTEGER };
    return this.#store.alarms
      .eventsIn({ ...span, limit: MAX_ANNOUNCED })
      .filter(({ transition, note }) => transition === 'raised' && note === null);
  }

  /** Takes what is remembered of a probe's readings from the record again, as when they are corrected otherwise. */
  refreshLatest(probeId: number): void {
    const [probe, newest] = [this.probes.get(probeId), this.latest.get(probeId)];
    if (!probe || !newest) return;
    const span = { fromMs: newest.recent[0]?.tMs ?? newest.tMs, toMs: newest.tMs };
    const [found] = this.#store.journal.window({ probeIds: [probeId], ...span, asReported: true });
    if (!found) return;
    const used = (tMs: number, i: number) =>
      this.#store.corrections.valueOf({ probeId, tMs, value: found.values[i] as number });
    const at = new Map(Array.from(found.timesMs, (tMs, i) => [tMs, used(tMs, i)]));
    const again = (one: { tMs: number; value: number }) => ({ ...one, value: at.get(one.tMs) ?? one.value });
    const { value } = again(newest);
    this.latest.set(probeId, { ...newest, value, recent: newest.recent.map(again) });
    if (probe.quantity === 'root/temperature') this.trails.set(probeId, this.#trailOf(probeId, newest.tMs));
  }

  /** Whether a probe was in a bath or jar at a time, ms since epoch: what it reported then says nothing of its place. */
  isAway(probeId: number, tMs: number): boolean {
    return this.#store.corrections.isAway(probeId, tMs);
  }

  #loadProbe(probe: Probe): void {
    this.putProbe(probe);
    const latest = this.#store.journal.latest(probe.id, this.#latestMs());
    const cadenceMs = this.#store.journal.progressOf(probe.id)?.cadenceMs ?? null;
    if (cadenceMs !== null) this.cadencesKept.set(probe.id, cadenceMs);
    if (!latest) return;
    this.latest.set(probe.id, latestFrom({ ...latest, cadenceMs }));
    if (probe.quantity === 'root/temperature') this.trails.set(probe.id, this.#trailOf(probe.id, latest.tMs));
  }

  #trailOf(probeId: number, toMs: number): Trail {
    const span = { fromMs: toMs - TRAIL_OVER_MS, toMs };
    const [readings] = this.#store.journal.window({ probeIds: [probeId], ...span });
    if (!readings) return [];
    const { timesMs, values } = readings;
    return [...timesMs].reduce<Trail>((trail, tMs, i) => {
      const value = values[i] as number;
      return isNoMeasurementAlone(value) ? trail : withStep(trail, { tMs, value });
    }, []);
  }

  /** Conditions are kept when they change phase only: how far each probe had been judged is in the record. */
  #caughtUp(record: AlarmRecord): AlarmRecord {
    const latestMs = this.#latestMs();
    const conditions = Object.entries(record.conditions).map(([id, condition]) => {
      const newestMs = id === WHOLE_PLACE ? 0 : (this.latest.get(Number(id))?.tMs ?? 0);
      // what arms was kept with each sample: its last is known
      const knownMs = condition.phase === 'arming' ? condition.lastMs : Math.max(condition.lastMs, newestMs);
      // judged by a clock that was ahead: nothing would be newer for as long
      const lastMs = Math.min(knownMs, latestMs);
      return [id, { ...condition, lastMs, sinceMs: Math.min(condition.sinceMs, latestMs) }];
    });
    return { ...record, conditions: Object.fromEntries(conditions) };
  }
}

function nameKey({ device, name }: { device: string; name: string }): string {
  return `${device}\n${name}`;
}
