import { MAX_FUTURE_MS } from '../../../firmware-contracts/v1/limits.ts';
import { parseDeviceTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { Mapping } from '../../../shared/model/probes/mapping.ts';
import type { Probe, Reading } from '../../../shared/model/probes/probe.ts';
import type { TargetSheet } from '../../../shared/model/targets.ts';
import type { DecodedReading } from '../../domain/ingest/decode.ts';
import { withLate } from '../../domain/present/late.ts';
import {
  silenceLimitMs,
  withDelivery,
  withPromise,
  withReading,
} from '../../domain/present/latest-readings.ts';
import type { RawMessage, Store } from '../../ports.ts';
import { admissionNow, archivedItemOf } from '../admission/admitting.ts';
import { keepWaiting } from '../admission/keep-waiting.ts';
import type { ClockWatch } from '../clock/clock-watch.ts';
import { bearsOnPlace, type JudgedStep, judgePlace, judgeProbe } from '../evaluate/judge.ts';
import type { PriorityOf } from '../evaluate/priority.ts';
import { asRaised } from '../evaluate/suppress.ts';
import { alarmsOf, guarded } from '../guard/guard.ts';
import type { Troubles } from '../guard/troubles.ts';
import { type AnnunciatorSettings, keepStep } from '../notify/annunciate.ts';
import type { DayNight } from '../world/day-night.ts';
import type { World } from '../world/world.ts';
import { probeOf } from './auto-provision.ts';
import { type ReadResult, readMessage, refusalOf, wishedBy } from './foreign-messages/read-message.ts';
import { refuse } from './refuse.ts';
import { isRepeat } from './repeats.ts';
import { nothingTouched, type Touched } from './touched.ts';

export type IngestContext = {
  readonly world: World;
  readonly store: Store;
  readonly targetSheet: TargetSheet;
  readonly settings: AnnunciatorSettings;
  readonly dayNight: DayNight;
  readonly priorityOf: PriorityOf;
  readonly mappingOf: (topic: string) => Mapping | null;
  /** a device that is accepted just now, whose packs waited, and when: what is late by then raises nothing */
  readonly accepted?: { readonly device: string; readonly nowMs: number };
  /** at what time a reading is judged, where clocks were set; ms since epoch */
  readonly judgedMs: ClockWatch['judgedMs'];
  readonly troubles: Pick<Troubles, 'note'>;
};

/** Small changes of a cadence are not worth a write. */
const SAME_CADENCE = 1.5;

/**
 * Takes messages into the record: the caller runs it inside one transaction and acknowledges after the commit.
 * A bad pack is kept among the refused and never stops the others.
 * @param over keys of handshakes of QoS 2 that ended
 */
export function ingest(
  messages: readonly RawMessage[],
  context: IngestContext,
  over: ReadonlySet<string> = new Set(),
): Touched {
  const touched = nothingTouched();
  for (const key of over) context.store.handshakes.over(key);
  for (const message of messages) {
    if (isRepeat(message, context.store)) touched.repeats += 1;
    else takeMessage(message, context, touched);
  }
  return touched;
}

function takeMessage(message: RawMessage, context: IngestContext, touched: Touched): void {
  if (parseDeviceTopic(message.topic)?.kind === 'status') {
    touched.statuses.push(message);
    return;
  }
  const mapping = context.mappingOf(message.topic);
  const decoded = readMessage(message, { ...context, mapping });
  if (decoded === null) return;
  const before = touched.stored;
  const placeId = wishedBy(mapping);
  if (!decoded.ok) refuse(message, decoded.refusal, { ...context, touched });
  else if (waits(decoded.device, placeId, context)) letWait(message, decoded.device, context, touched);
  else takeReadings(message, { decoded, placeId }, context, touched);
  if (mapping === null) return;
  const { topic, arrivedAtMs: atMs } = message;
  const code = refusalOf(decoded)?.code ?? null;
  touched.mapped.push({ id: mapping.id, topic, atMs, code, stored: touched.stored - before });
}

/** Whether a device has to wait until somebody accepts it. */
function waits(device: string, wishedPlaceId: string | null, context: IngestContext): boolean {
  if (context.accepted?.device === device) return false;
  return admissionNow({ device, wishedPlaceId }, context) === 'wait';
}

function letWait(message: RawMessage, device: string, context: IngestContext, touched: Touched): void {
  const refusal = keepWaiting(message, device, context.store);
  if (refusal !== null) refuse(message, refusal, { ...context, touched });
}

type DecodedMessage = {
  readonly decoded: Extract<ReadResult, { ok: true }>;
  readonly placeId: string | null;
};

function takeReadings(
  message: RawMessage,
  { decoded, placeId }: DecodedMessage,
  context: IngestContext,
  touched: Touched,
): void {
  const { stored, conflicts } = touched;
  const { unkept } = decoded;
  const delivered = new Set<Probe>();
  const newest = new Map<number, number>();
  const letIn = decoded.readings.filter((reading) => !leftOut(reading, placeId, context, touched));
  const inOrder = letIn.sort((a, b) => a.tMs - b.tMs);
  const judgedAtMs = context.accepted?.nowMs ?? message.arrivedAtMs;
  let group: ReadingGroup = { tMs: 0, probes: [] };
  for (const reading of inOrder) {
    const probe = probeOf(reading, context, touched, placeId);
    newest.set(probe.id, reading.tMs);
    if (reading.tMs !== group.tMs) {
      judgeGroup(group, judgedAtMs, context, touched);
      group = { tMs: reading.tMs, probes: [] };
    }
    const arrival = { reading, probe, arrivedAtMs: message.arrivedAtMs, judgedAtMs, isKept: unkept === null };
    const news = takeReading(arrival, context, touched);
    if (news !== null) delivered.add(probe);
    if (news?.judged && bearsOnPlace(probe)) group.probes.push(probe);
  }
  judgeGroup(group, judgedAtMs, context, touched);
  for (const probe of delivered) noteDelivery(probe, message.arrivedAtMs, context);
  for (const [probeId, tMs] of newest) noteLate(probeId, { tMs, arrivedAtMs: message.arrivedAtMs }, context);
  if (unkept !== null) {
    refuse(message, unkept, { ...context, touched });
    return;
  }
  touched.deliveries.push({
    device: decoded.device,
    arrivedAtMs: message.arrivedAtMs,
    newestMs: inOrder.at(-1)?.tMs ?? null,
    readings: inOrder.length,
    stored: touched.stored - stored,
    conflicts: touched.conflicts - conflicts,
  });
}

/** Whether a reading belongs to something in the archive: then it is counted there, and left out. */
function leftOut(
  reading: DecodedReading,
  wishedPlaceId: string | null,
  context: IngestContext,
  touched: Touched,
): boolean {
  const item = archivedItemOf(reading, wishedPlaceId, context);
  if (item !== null) touched.leftOut.set(item, (touched.leftOut.get(item) ?? 0) + 1);
  return item !== null;
}

/** Probes of one device that were read at one time, and whose places are to be judged as a whole. */
type ReadingGroup = { readonly tMs: number; readonly probes: Probe[] };

function judgeGroup({ probes }: ReadingGroup, nowMs: number, context: IngestContext, touched: Touched): void {
  if (probes.length === 0) return;
  for (const placeId of new Set(probes.map((probe) => probe.placeId))) {
    if (placeId === null) continue;
    const judged = safelyJudged(placeId, () => judgePlace(placeId, probes, context), context);
    keepJudged(judged, nowMs, context, touched);
  }
}

type ArrivedReading = {
  readonly reading: DecodedReading;
  readonly probe: Probe;
  readonly arrivedAtMs: number;
  /** when it is judged: later than its arrival when its device had to wait */
  readonly judgedAtMs: number;
  /** not, where the clock of this computer is behind all that is kept: then it is judged alone */
  readonly isKept: boolean;
};

/**
 * @returns null unless the reading is news: stored, newest of its probe, and not late when it arrived; whether it was
 * judged, as it was not late by then either
 */
function takeReading(
  { reading, probe, arrivedAtMs, judgedAtMs, isKept }: ArrivedReading,
  context: IngestContext,
  touched: Touched,
): { readonly judged: boolean } | null {
  const { world, store } = context;
  const { tMs } = reading;
  const raw = { probeId: probe.id, tMs, value: reading.value };
  if (isKept) keepReading(raw, probe, context, touched);
  else if (probe.placeId !== null) touched.placesReporting.add(probe.placeId);
  const atMs = context.judgedMs(tMs, arrivedAtMs);
  const before = world.latest.get(probe.id) ?? null;
  // one of a clock that was ahead is not newer than the present
  if (before && before.tMs >= atMs && before.tMs <= arrivedAtMs + MAX_FUTURE_MS) return null;
  const after = withPromise(
    withReading(before, { tMs: atMs, value: store.corrections.valueOf(raw) }),
    reading.updateTimeS,
  );
  world.setLatest(probe, after);
  const limitMs = silenceLimitMs(after);
  if (arrivedAtMs - atMs > limitMs) return null;
  const judged = judgedAtMs - atMs <= limitMs;
  if (judged) {
    const steps = safelyJudged(probe.placeId, () => judgeProbe(probe, context), context);
    keepJudged(steps, judgedAtMs, context, touched);
  }
  return { judged };
}

function keepReading(raw: Reading, probe: Probe, { store, world }: IngestContext, touched: Touched): void {
  const result = store.journal.append(raw);
  if (result === 'conflict') {
    touched.conflicts++;
    store.probes.countConflict(probe.id);
    world.putProbe({ ...probe, conflicts: (world.probes.get(probe.id)?.conflicts ?? 0) + 1 });
  }
  if (result === 'stored') {
    touched.stored++;
    if (probe.placeId !== null) touched.placesReporting.add(probe.placeId);
  }
}

/** A reading whose judging fails is stored all the same; that its place is not judged is an alarm of its own. */
function safelyJudged(
  placeId: string | null,
  judge: () => JudgedStep[],
  { world, troubles }: IngestContext,
): JudgedStep[] {
  const place = placeId === null ? null : world.places.get(placeId);
  return guarded(alarmsOf(place), judge, { troubles, otherwise: [] });
}

function keepJudged(
  judged: readonly JudgedStep[],
  nowMs: number,
  context: IngestContext,
  touched: Touched,
): void {
  const { world, store, settings, priorityOf } = context;
  for (const { before, step, keep, dueAtMs } of judged) {
    if (dueAtMs !== null) touched.dueAtMs = Math.min(dueAtMs, touched.dueAtMs ?? dueAtMs);
    if (keep)
      keepStep(asRaised(step, { world, store, nowMs, priorityOf }), { world, store, settings, nowMs });
    else world.alarms.set(before.id, step.record);
    if (step.transition || step.record.facts !== before.facts) touched.alarms.add(before.id);
  }
}

function noteDelivery(probe: Probe, arrivedAtMs: number, { world, store }: IngestContext): void {
  const latest = world.latest.get(probe.id);
  if (!latest) return;
  if (world.fromFile.delete(probe.id)) store.probes.setFromFile(probe.id, false);
  const noted = withDelivery(latest, arrivedAtMs);
  world.latest.set(probe.id, noted);
  const { cadenceMs } = noted;
  if (cadenceMs === null || !isAnother(world.cadencesKept.get(probe.id) ?? null, cadenceMs)) return;
  store.journal.noteProgress({ probeId: probe.id, cadenceMs });
  world.cadencesKept.set(probe.id, cadenceMs);
}

/** Repeats count too: a device that sends again what it kept is alive. */
function noteLate(
  probeId: number,
  { tMs, arrivedAtMs }: { readonly tMs: number; readonly arrivedAtMs: number },
  { world }: IngestContext,
): void {
  const liveMs = silenceLimitMs({ cadenceMs: world.latest.get(probeId)?.cadenceMs ?? null });
  const late = withLate(world.late.get(probeId) ?? null, { arrivedAtMs, lagMs: arrivedAtMs - tMs, liveMs });
  if (late !== null) world.late.set(probeId, late);
}

function isAnother(keptMs: number | null, nowMs: number): boolean {
  if (keptMs === null) return true;
  return nowMs > keptMs * SAME_CADENCE || nowMs * SAME_CADENCE < keptMs;
}
