import { MAX_PAYLOAD_BYTES } from '../../firmware-contracts/v1/limits.ts';
import { parseDeviceTopic } from '../../firmware-contracts/v1/topics.ts';
import type { Mapping } from '../../shared/model/mapping.ts';
import type { Probe } from '../../shared/model/probe.ts';
import type { TargetSheet } from '../../shared/model/targets.ts';
import { silenceLimitMs } from '../domain/alarms/silence.ts';
import { type Delivery, refusedDelivery } from '../domain/devices/delivery.ts';
import type { Decoded, DecodedReading } from '../domain/ingest/decode.ts';
import { withDelivery, withPromise, withReading } from '../domain/present/heard.ts';
import { withLate } from '../domain/present/late.ts';
import type { RawMessage, Store } from '../ports.ts';
import { type AnnunciatorSettings, keepStep } from './annunciate.ts';
import { probeOf } from './first-contact.ts';
import { alarmsOf, guarded } from './guard.ts';
import type { Halves } from './halves.ts';
import type { MappedOutcome } from './hearing/book.ts';
import { readMessage } from './hearing/read-message.ts';
import { bearsOnPlace, type JudgedStep, judgePlace, judgeProbe } from './judge.ts';
import { asRaised } from './suppress.ts';
import type { Troubles } from './troubles.ts';
import type { World } from './world.ts';

export type IngestContext = {
  readonly world: World;
  readonly store: Store;
  readonly sheet: TargetSheet;
  readonly settings: AnnunciatorSettings;
  readonly halves: Halves;
  readonly mappingOf: (topic: string) => Mapping | null;
  readonly troubles: Pick<Troubles, 'note'>;
};

/** What an ingest turn changed, for those who are told after its commit. */
export type Touched = {
  readonly placesMade: Set<string>;
  readonly placesHeard: Set<string>;
  readonly alarms: Set<string>;
  /** what came of messages that mappings read */
  readonly mapped: MappedOutcome[];
  /** what came of devices, and on their topics of status */
  readonly deliveries: Delivery[];
  readonly statuses: RawMessage[];
  /** when the first on-delay that these readings left running runs out, ms since epoch */
  runsOutMs: number | null;
  stored: number;
  refused: number;
  conflicts: number;
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
  const touched: Touched = {
    placesMade: new Set(),
    placesHeard: new Set(),
    alarms: new Set(),
    mapped: [],
    deliveries: [],
    statuses: [],
    runsOutMs: null,
    stored: 0,
    refused: 0,
    conflicts: 0,
  };
  for (const key of over) context.store.handshakes.over(key);
  for (const message of messages) if (!isRepeat(message, context)) takeMessage(message, context, touched);
  return touched;
}

/** A message of QoS 2 that was stored before: by arrival as its time it would be stored twice. */
function isRepeat({ handshake, arrivedAtMs: atMs }: RawMessage, { store }: IngestContext): boolean {
  if (handshake === undefined) return false;
  const { key, content, mayRepeat } = handshake;
  if (mayRepeat && store.handshakes.contentOf(key) === content) return true;
  store.handshakes.open(key, { content, atMs });
  return false;
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
  if (decoded.ok) takeReadings(message, { decoded, placeId: mapping?.placeId ?? null }, context, touched);
  else refuse(message, decoded.refusal, context, touched);
  if (mapping === null) return;
  const { topic, arrivedAtMs: atMs } = message;
  const code = decoded.ok ? null : decoded.refusal.code;
  touched.mapped.push({ id: mapping.id, topic, atMs, code, stored: touched.stored - before });
}

type Taken = { readonly decoded: Extract<Decoded, { ok: true }>; readonly placeId: string | null };

function takeReadings(
  message: RawMessage,
  { decoded, placeId }: Taken,
  context: IngestContext,
  touched: Touched,
): void {
  const { stored, conflicts } = touched;
  const delivered = new Set<Probe>();
  const newest = new Map<number, number>();
  const inOrder = [...decoded.readings].sort((a, b) => a.tMs - b.tMs);
  let together: Together = { tMs: 0, probes: [] };
  for (const reading of inOrder) {
    const probe = probeOf(reading, context, touched, placeId);
    newest.set(probe.id, reading.tMs);
    if (reading.tMs !== together.tMs) {
      judgeTogether(together, message.arrivedAtMs, context, touched);
      together = { tMs: reading.tMs, probes: [] };
    }
    if (!takeReading({ reading, probe, arrivedAtMs: message.arrivedAtMs }, context, touched)) continue;
    delivered.add(probe);
    if (bearsOnPlace(probe)) together.probes.push(probe);
  }
  judgeTogether(together, message.arrivedAtMs, context, touched);
  for (const probe of delivered) noteDelivery(probe, message.arrivedAtMs, context);
  for (const [probeId, tMs] of newest) noteLate(probeId, { tMs, arrivedAtMs: message.arrivedAtMs }, context);
  touched.deliveries.push({
    ...{ device: decoded.device, arrivedAtMs: message.arrivedAtMs, newestMs: inOrder.at(-1)?.tMs ?? null },
    ...{ readings: inOrder.length, stored: touched.stored - stored },
    conflicts: touched.conflicts - conflicts,
  });
}

/** Probes of one device that were read at one time, and whose places are to be judged as a whole. */
type Together = { readonly tMs: number; readonly probes: Probe[] };

function judgeTogether({ probes }: Together, nowMs: number, context: IngestContext, touched: Touched): void {
  if (probes.length === 0) return;
  for (const placeId of new Set(probes.map((probe) => probe.placeId))) {
    if (placeId === null) continue;
    const judged = safelyJudged(placeId, () => judgePlace(placeId, probes, context), context);
    keepJudged(judged, nowMs, context, touched);
  }
}

type Arrived = { readonly reading: DecodedReading; readonly probe: Probe; readonly arrivedAtMs: number };

/** @returns true when the reading is news: stored, newest of its probe, and not late */
function takeReading(
  { reading, probe, arrivedAtMs }: Arrived,
  context: IngestContext,
  touched: Touched,
): boolean {
  const { world, store } = context;
  const { tMs } = reading;
  const told = { probeId: probe.id, tMs, value: reading.value };
  const result = store.journal.append(told);
  if (result === 'conflict') {
    touched.conflicts++;
    store.probes.countConflict(probe.id);
    world.putProbe({ ...probe, conflicts: (world.probes.get(probe.id)?.conflicts ?? 0) + 1 });
  }
  if (result !== 'stored') return false;
  touched.stored++;
  if (probe.placeId !== null) touched.placesHeard.add(probe.placeId);
  const before = world.heard.get(probe.id) ?? null;
  if (before && before.tMs >= tMs) return false;
  const after = withPromise(
    withReading(before, { tMs, value: store.corrections.valueOf(told) }),
    reading.updateTimeS,
  );
  world.hear(probe, after);
  if (arrivedAtMs - tMs > silenceLimitMs(after)) return false;
  const judged = safelyJudged(probe.placeId, () => judgeProbe(probe, context), context);
  keepJudged(judged, arrivedAtMs, context, touched);
  return true;
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
  const { world, store, settings } = context;
  for (const { before, step, keep, runsOutMs } of judged) {
    if (runsOutMs !== null) touched.runsOutMs = Math.min(runsOutMs, touched.runsOutMs ?? runsOutMs);
    if (keep) keepStep(asRaised(step, { world, store, nowMs }), { world, store, settings, nowMs });
    else world.alarms.set(before.id, step.record);
    if (step.transition || step.record.facts !== before.facts) touched.alarms.add(before.id);
  }
}

function noteDelivery(probe: Probe, arrivedAtMs: number, { world, store }: IngestContext): void {
  const heard = world.heard.get(probe.id);
  if (!heard) return;
  if (world.fromFile.delete(probe.id)) store.probes.setFromFile(probe.id, false);
  const noted = withDelivery(heard, arrivedAtMs);
  world.heard.set(probe.id, noted);
  const { cadenceMs } = noted;
  if (cadenceMs === null || !isAnother(world.cadencesKept.get(probe.id) ?? null, cadenceMs)) return;
  store.journal.noteProgress({ probeId: probe.id, cadenceMs });
  world.cadencesKept.set(probe.id, cadenceMs);
}

/** Repeats count too: a device that sends anew what it kept is alive. */
function noteLate(
  probeId: number,
  { tMs, arrivedAtMs }: { readonly tMs: number; readonly arrivedAtMs: number },
  { world }: IngestContext,
): void {
  const liveMs = silenceLimitMs({ cadenceMs: world.heard.get(probeId)?.cadenceMs ?? null });
  const late = withLate(world.late.get(probeId) ?? null, { arrivedAtMs, lagMs: arrivedAtMs - tMs, liveMs });
  if (late !== null) world.late.set(probeId, late);
}

function isAnother(keptMs: number | null, nowMs: number): boolean {
  if (keptMs === null) return true;
  return nowMs > keptMs * SAME_CADENCE || nowMs * SAME_CADENCE < keptMs;
}

type RefusalReason = { code: string; reason: string; pointer: string | null; device: string | null };

function refuse(
  message: RawMessage,
  refusal: RefusalReason,
  { store }: IngestContext,
  touched: Touched,
): void {
  touched.refused++;
  const { device } = refusal;
  if (device !== null) touched.deliveries.push(refusedDelivery(device, message.arrivedAtMs));
  store.refusals.keep({
    ...refusal,
    atMs: message.arrivedAtMs,
    topic: message.topic,
    bytes: message.payload.length,
    payload: new TextDecoder().decode(message.payload.subarray(0, MAX_PAYLOAD_BYTES)),
  });
}
