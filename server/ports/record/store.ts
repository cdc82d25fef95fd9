import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import type { AlarmEvent } from '../../../shared/model/alarms/alarm.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Probe, Reading } from '../../../shared/model/probes/probe.ts';
import type { RefusedPack } from '../../../shared/wire/http.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { HandTargets } from '../../domain/batches/timeline.ts';
import type { Horizon } from '../../domain/disk-space/horizon.ts';
import type { SettledPart } from '../../domain/exposures/settled-day.ts';
import type { TargetsEntry } from '../../domain/places/targets-history.ts';
import type { Minutes } from '../../domain/seal/minutes.ts';
import type { BlockSummary } from '../../domain/seal/summary.ts';
import type { ClockRecord } from '../clock.ts';
import type { Mappings } from '../foreign-messages.ts';
import type { AccessRecord } from './access.ts';
import type { Batches } from './batches.ts';
import type { Checks, Corrections } from './checks.ts';
import type { Diary } from './diary.ts';
import type { InstallationKeys, RestoreGaps } from './keys.ts';
import type { ArchiveRecord, WaitingRecord } from './lifecycle.ts';
import type { Outbox } from './outbox.ts';
import type { PathTests } from './path-tests.ts';
import type { People } from './people.ts';
import type { Preparations } from './preparations.ts';
import type { OwnSheets } from './sheets.ts';

/** What an append did with a reading. */
export type AppendResult = 'stored' | 'repeat' | 'conflict';

export type ProbeTimes = {
  readonly probeId: number;
  readonly timesMs: Float64Array;
  readonly values: Float64Array;
};

/** What the readings of one probe in one hour come to; `hour` counts hours since 1970, UTC. */
export type HourSummary = BlockSummary & { readonly hour: number };

type SealedHour = { readonly probeId: number; readonly hour: number };

/** What a turn of sealing did, and whether more is waiting. */
export type SealResult = { readonly sealed: readonly SealedHour[]; readonly more: boolean };

/**
 * The append-ordered record of readings: the truth everything else derives from. It keeps them as they were reported, and
 * gives them out corrected.
 */
export type Journal = {
  /** Inside a transaction: its commit keeps the reading. */
  append(reading: Reading): AppendResult;
  /**
   * Readings of the probes with fromMs <= time <= toMs, ascending, one entry a probe that has any. Where readings
   * were dropped for their age there are none, or with `orMinutes` what is left of them: one a minute, its mean.
   * With `asTold` they are as the probe reported them.
   */
  window(query: {
    probeIds: readonly number[];
    fromMs: number;
    toMs: number;
    orMinutes?: boolean;
    asReported?: boolean;
  }): ProbeTimes[];
  /** Minutes of the hours of a probe that touch the span, ascending: kept ones, or made of the readings. */
  minutes(probeId: number, span: { fromMs: number; toMs: number }): Minutes;
  /**
   * Keeps minutes in place of readings in the sealed hours of some probes, inside the caller's transaction.
   * @param measured a probe's readings without those that are no measurement
   * @returns how many were changed
   */
  dropReadings(
    hour: number,
    probeIds: readonly number[],
    measured: (probeId: number, record: ProbeRecord) => ProbeRecord,
  ): number;
  /** Newest reading of a probe, or of those not later than a time (ms since epoch); null where there is none. */
  latest(probeId: number, notAfterMs?: number): Reading | null;
  /** Time of the oldest reading of any of the probes, or null. */
  oldestMs(probeIds: readonly number[]): number | null;
  /** Summaries of all hours of a probe that touch the span, ascending; covered by the usual gap limit. */
  hours(probeId: number, span: { fromMs: number; toMs: number }): HourSummary[];
  /** Hours of a probe with readings that are not sealed yet, ascending. */
  openHours(probeId: number): number[];
  /** Seals up to `limit` hours that are over, in one transaction; outside of any other. */
  seal(turn: { nowMs: number; limit: number }): SealResult;
  /** Notes how often a probe is delivered. */
  noteProgress(progress: ProbeProgress): void;
  progressOf(probeId: number): ProbeProgress | null;
};

export type ProbeProgress = { readonly probeId: number; readonly cadenceMs: number | null };

export type NewProbe = Omit<Probe, 'id' | 'conflicts'>;

export type Probes = {
  /** those that are live, neither archived nor deleted */
  all(): Probe[];
  add(probe: NewProbe): Probe;
  countConflict(probeId: number): void;
  /** Ids of probes that are known from a file alone: nobody waits for their next reading. */
  fromFile(): number[];
  setFromFile(probeId: number, fromFile: boolean): void;
};

export type Places = {
  /** those that are live, neither archived nor deleted */
  all(): Place[];
  /** ids of those of the demo, archived and deleted ones too */
  ofDemo(): string[];
  add(place: Place): void;
  update(place: Place): void;
  /** Removes the place with its probes, readings, targets and alarms. */
  removeWithRecord(placeId: string): void;
  /** In force is what holds by these, one after the other: those by hand, then what follows from batches. */
  targetsEntries(placeId: string): TargetsEntry[];
  /** those that were set by hand, in the order in which they were entered */
  handTargets(placeId: string): HandTargets[];
  /** Sets targets by hand. @param entry `entered` is its number among all edits; 0 before there were batches */
  addTargets(placeId: string, entry: TargetsEntry & { readonly entered?: number }): void;
  /** Takes the place of what followed from batches so far; nothing where what was set by hand holds alone. */
  putTimeline(placeId: string, entries: readonly TargetsEntry[]): void;
};

export type NewRefusal = Omit<RefusedPack, 'id' | 'time'> & { readonly atMs: number };

export type Refusals = {
  keep(refusal: NewRefusal): void;
  /** @param beforeId only those that came before this one */
  newest(limit: number, beforeId?: number): RefusedPack[];
  countsByCode(): Record<string, number>;
};

export type Alarms = {
  /** of the installation, and of places that are live */
  all(): AlarmRecord[];
  save(record: AlarmRecord): void;
  addEvent(event: Omit<AlarmEvent, 'id'>): number;
  events(alarmId: string): AlarmEvent[];
  /** Events of a place's alarms in the span, the next so many after the id, in the order they happened. */
  eventsOfPlace(query: {
    placeId: string;
    fromMs: number;
    toMs: number;
    afterId: number;
    limit: number;
  }): AlarmEvent[];
  /** Events of all alarms in the span, in the order they happened. */
  eventsIn(query: { fromMs: number; toMs: number; limit: number }): AlarmEvent[];
  /** Ids of alarms with an event in the span. */
  idsWithEvents(span: { fromMs: number; toMs: number }): string[];
};

type Hours = { readonly first: number; readonly last: number };

/** Exposures counted before: derived, and forgotten by the store itself when readings come that bear on them. */
export type Settled = {
  /** The settled parts of a place that touch a span, by their start; by the present formulas, or settled for good. */
  get(placeId: string, span: { fromMs: number; toMs: number }): ReadonlyMap<number, SettledPart>;
  /** Takes the place of those they overlap. */
  put(placeId: string, parts: readonly SettledPart[]): void;
  /** The same of whole local days. */
  days(placeId: string, span: { fromMs: number; toMs: number }): ReadonlyMap<number, SettledPart>;
  putDays(placeId: string, days: readonly SettledPart[]): void;
  newestHour(placeId: string): number | null;
  /** Never those before the horizon: they could not be counted again. */
  forget(placeId: string, hours: Hours): void;
  forgetAll(): void;
};

/** How far the dropping of old readings has come; null while none ever were. */
type HorizonMark = {
  get(): Horizon | null;
  /** Inside a transaction. */
  set(horizon: Horizon): void;
};

/** Handshakes of QoS 2 that are not known to be over; inside a transaction, so that a repeat after a crash is known. */
export type Handshakes = {
  contentOf(key: string): string | null;
  open(key: string, of: { readonly content: string; readonly atMs: number }): void;
  over(key: string): void;
  all(): { readonly key: string; readonly content: string; readonly atMs: number }[];
};

/** Everything kept on disk. `transaction` commits all or nothing, durably, before it returns. */
export type Store = {
  readonly journal: Journal;
  readonly probes: Probes;
  readonly places: Places;
  readonly refusals: Refusals;
  readonly alarms: Alarms;
  readonly outbox: Outbox;
  readonly people: People;
  readonly pathTests: PathTests;
  readonly diary: Diary;
  readonly batches: Batches;
  readonly preparations: Preparations;
  readonly access: AccessRecord;
  readonly mappings: Mappings;
  readonly sheets: OwnSheets;
  readonly settled: Settled;
  readonly corrections: Corrections;
  readonly checks: Checks;
  readonly horizon: HorizonMark;
  readonly keys: InstallationKeys;
  readonly restoreGaps: RestoreGaps;
  readonly waiting: WaitingRecord;
  readonly archive: ArchiveRecord;
  readonly clock: ClockRecord;
  readonly handshakes: Handshakes;
  /** @throws Fault `store-failed` when the disk or the file refuses it; whatever `work` throws besides */
  transaction<T>(work: () => T): T;
  /**
   * The same for what must go on while the record cannot be written: readings judged, people called, alarms
   * acknowledged. It is kept in memory then, and in the record once that can be written. `work` may be run twice.
   */
  carryOn<T>(work: () => T): T;
  /** False while what is kept is kept in memory only. */
  lasting(): boolean;
  /** Writes a little and commits it, to learn whether writing works. @throws Fault `store-failed` */
  touch(): void;
  close(): void;
};

/** A record on disk, which another in memory can stand in for. */
export type RecordStore = Store & {
  /** Reads again what a stand-in starts from, in case the disk cannot be read either by then. */
  provide(): void;
  /** A store in memory with all that this one holds, but for readings and what is derived from them. */
  standIn(): StandIn;
  /** Takes over what changed in a stand-in, inside the caller's transaction. */
  takeOver(changes: Changes): void;
};

/** What changed in a stand-in, row by row; a row that is gone is null. */
export type Changes = readonly {
  readonly table: string;
  readonly key: readonly (string | number)[];
  readonly row: Readonly<Record<string, unknown>> | null;
}[];

export type StandIn = {
  readonly store: Store;
  changes(): Changes;
  /** Forgets changes that the record has taken over. */
  copied(): void;
};
