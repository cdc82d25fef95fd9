import { MAX_FUTURE_MS, RELATIVE_TIME_BELOW_S } from '../../../firmware-contracts/v1/limits.ts';
import { Fault } from '../../../shared/faults.ts';
import { type Alarm, MAX_SHELVE_MS } from '../../../shared/model/alarms/alarm.ts';
import type { Place, PlacePatch, PlaceSettings } from '../../../shared/model/place.ts';
import type { SetUp } from '../../../shared/model/set-up.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import { ceilingAlarmOf, withCeilingAlarm } from '../../../shared/rules/ceiling-alias.ts';
import { VENTS_LOOKBACK_MS } from '../../domain/alarms/limit-samples.ts';
import {
  type AlarmStep,
  inService,
  withAcknowledgement,
  withOutOfService,
  withoutShelving,
  withReset,
  withShelving,
} from '../../domain/alarms/record.ts';
import { leadsOf } from '../../domain/batches/leading.ts';
import { horizonMs } from '../../domain/disk-space/horizon.ts';
import { fittingTargets } from '../../domain/places/fitting-targets.ts';
import type { Clock, Orders, Store, VentEntry } from '../../ports.ts';
import { type AnnunciatorSettings, keepStep } from '../notify/annunciate.ts';
import { requireAlarm, requirePlace } from '../readout/queries.ts';
import { LAST_HOUR, type SheetOf, withTargets } from '../world/targets-timeline.ts';
import type { World } from '../world/world.ts';
import { viewOf } from '../world/world-view.ts';

/** As for readings: the earliest time they may have. */
const EARLIEST_MS = RELATIVE_TIME_BELOW_S * 1_000;

export type OrderContext = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Clock;
  readonly settings: AnnunciatorSettings;
  readonly sheetOf: SheetOf;
  readonly placeChanged: (placeId: string) => void;
  readonly alarmChanged: (alarmId: string) => void;
};

/** Carries out what people order: committed before it returns, sent to pages after. */
export function createOrders(
  context: OrderContext,
): Omit<Orders, 'startDemo' | 'removeDemo' | 'changePlaces'> {
  const { world, clock } = context;
  return {
    setTargets: (placeId, order) => setTargets(placeId, order, context),
    setUp: (placeId, answers) => setUp(placeId, answers, context),
    patchPlace: (placeId, patch) => patchPlace(placeId, patch, context),
    logVent: (placeId, vent) => logVent(placeId, vent, context),
    removeVent: (placeId, ventId) => removeVent(placeId, ventId, context),
    acknowledge(alarmId, { by = null } = {}) {
      const record = requireAlarm(world, alarmId);
      return keep(withAcknowledgement(record, { atMs: clock.nowMs(), by }), context, by ?? undefined);
    },
    reset: (alarmId) => keep(withReset(requireAlarm(world, alarmId)), context),
    takeOutOfService(alarmId, { reason, by = null }) {
      const out = { sinceMs: clock.nowMs(), reason, by };
      return keep(withOutOfService(requireAlarm(world, alarmId), out), context, reason);
    },
    putInService: (alarmId) => keep(inService(requireAlarm(world, alarmId)), context),
    shelve(alarmId, { minutes, reason, by = null }) {
      const record = requireAlarm(world, alarmId);
      const shelveMs = minutes * 60_000;
      requireShelvable(record.priority, shelveMs);
      return keep(withShelving(record, { untilMs: clock.nowMs() + shelveMs, reason, by }), context, reason);
    },
    unshelve: (alarmId) => keep(withoutShelving(requireAlarm(world, alarmId)), context),
  };
}

function keep(step: AlarmStep, context: OrderContext, note?: string): Alarm {
  const { world, store, settings, clock } = context;
  if (step.transition) {
    const noted = note === undefined ? {} : { note };
    commitInAnyCase(context, () =>
      keepStep(step, { world, store, settings, nowMs: clock.nowMs(), ...noted }),
    );
    context.alarmChanged(step.record.id);
  }
  return viewOf(step.record, world);
}

/**
 * Runs the work in one transaction; when it fails, what is in memory is read again from what was committed.
 * @throws Fault `store-failed`, or the one the work threw
 */
export function commit<T>(context: Pick<OrderContext, 'world' | 'store'>, work: () => T): T {
  return commitBy('transaction', context, work);
}

/** The same for what answers an alarm: it counts while the record cannot be written, too. */
export function commitInAnyCase<T>(context: Pick<OrderContext, 'world' | 'store'>, work: () => T): T {
  return commitBy('carryOn', context, work);
}

function commitBy<T>(
  how: 'transaction' | 'carryOn',
  { world, store }: Pick<OrderContext, 'world' | 'store'>,
  work: () => T,
): T {
  try {
    return store[how](work);
  } catch (cause) {
    world.reload();
    if (cause instanceof Fault && cause.code !== 'store-failed') throw cause;
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({
      code: 'store-failed',
      message: `The database could not keep the change: ${why}.`,
      cause,
    });
  }
}

function requireShelvable(priority: keyof typeof MAX_SHELVE_MS, shelveMs: number): void {
  const maxMs = MAX_SHELVE_MS[priority];
  if (shelveMs <= maxMs) return;
  const message = `An alarm of ${priority} priority can be shelved for at most ${maxMs / 60_000} minutes.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'minutes', maximum: maxMs / 60_000 } });
}

type TargetsOrder = { targets: Targets; fromMs: number | null };

/** Bands set by hand answer the questions of a first contact: who sets them knows what roots there. */
function setTargets(placeId: string, order: TargetsOrder, context: OrderContext): void {
  const place = requirePlace(context.world, placeId);
  const { settings } = place;
  const answered = settings.questionsOpen
    ? { ...place, settings: { ...settings, questionsOpen: false } }
    : place;
  holdTargets(answered, order, context);
}

function setUp(placeId: string, answers: SetUp, context: OrderContext): void {
  const { settings, ...place } = requirePlace(context.world, placeId);
  const { kind, mat, roots } = answers;
  const answered = { ...place, kind, settings: { ...settings, mat, roots, questionsOpen: false } };
  // the batch that leads has bands of its own
  if (leaderAt(placeId, context) === null)
    holdTargets(answered, { targets: fittingTargets(answers), fromMs: null }, context);
  else keepPlace(answered, context);
}

function keepPlace(place: Place, context: OrderContext): void {
  commit(context, () => {
    context.store.places.update(place);
    context.world.putPlace(place);
  });
  context.placeChanged(place.id);
}

/** The batch that leads at a place now, or null. */
function leaderAt(placeId: string, { store, clock }: OrderContext): number | null {
  const question = {
    placeId,
    batches: store.batches.atPlace(placeId),
    choices: store.batches.choices(placeId),
  };
  const nowMs = clock.nowMs();
  return leadsOf(question).findLast(({ fromMs }) => fromMs <= nowMs)?.batch?.id ?? null;
}

function holdTargets(place: Place, order: TargetsOrder, context: OrderContext): void {
  requireCountable(order.fromMs, context.store);
  commit(context, () => putTargets(place, order, context));
  context.placeChanged(place.id);
}

/** Sets the bands of a place, and what of it changed with them, within a transaction. */
export function putTargets(place: Place, { targets, fromMs }: TargetsOrder, context: OrderContext): void {
  const { world, store, clock } = context;
  const enteredMs = clock.nowMs();
  const since = fromMs ?? enteredMs;
  const entered = store.batches.nextEntered();
  withTargets([place.id], context, () =>
    store.places.addTargets(place.id, { fromMs: since, enteredMs, targets, entered }),
  );
  if (place.settings !== world.places.get(place.id)?.settings) store.places.update(place);
  world.putPlace(place);
}

/** Exposures whose readings are gone cannot be counted against other targets. */
function requireCountable(fromMs: number | null, store: Store): void {
  const { takenFromMs } = horizonMs(store.horizon.get());
  if (fromMs === null || fromMs >= takenFromMs) return;
  const earliest = new Date(takenFromMs).toISOString();
  const message = `"from" must not lie before ${earliest}: older readings are not kept any more, and what was counted from them stays as it is.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'from', earliest } });
}

function patchPlace(placeId: string, patch: PlacePatch, context: OrderContext): void {
  const { world, store } = context;
  const place = requirePlace(world, placeId);
  const { settings, name, kind } = patch;
  const patched = {
    ...place,
    name: name ?? place.name,
    kind: kind ?? place.kind,
    settings: patchedSettings(place.settings, settings ?? {}),
  };
  commit(context, () => {
    store.places.update(patched);
    if (settings) store.settled.forget(place.id, { first: 0, last: LAST_HOUR });
    world.putPlace(patched);
  });
  context.placeChanged(place.id);
}

type SettingsPatch = NonNullable<PlacePatch['settings']>;

/** What was newly set beside what stays; the ceiling's own settings of the interface count where they were changed. */
function patchedSettings(before: PlaceSettings, { ceilingAlarm, ...patch }: SettingsPatch): PlaceSettings {
  const patched = { ...before, ...dropUndefined(patch) };
  const isNews =
    ceilingAlarm && JSON.stringify(ceilingAlarm) !== JSON.stringify(ceilingAlarmOf(before.alarms));
  return isNews ? { ...patched, alarms: withCeilingAlarm(patched.alarms, ceilingAlarm) } : patched;
}

type Vent = { fromMs: number; toMs: number | null; note: string | null };

function logVent(placeId: string, vent: Vent, context: OrderContext): VentEntry {
  const place = requirePlace(context.world, placeId);
  const latestMs = context.clock.nowMs() + MAX_FUTURE_MS;
  for (const [field, atMs] of [
    ['from', vent.fromMs],
    ['to', vent.toMs ?? vent.fromMs],
  ] as const) {
    if (atMs >= EARLIEST_MS && atMs <= latestMs) continue;
    const message = `"${field}" must lie between 4 July 1978 and now.`;
    throw new Fault({ code: 'bad-request', message, details: { field } });
  }
  if (vent.toMs !== null && vent.toMs <= vent.fromMs) {
    const message = 'The cover must be shut after it was opened: `to` must come after `from`.';
    throw new Fault({ code: 'bad-request', message, details: { field: 'to' } });
  }
  requireNoneOpen(place.id, vent, context);
  return commit(context, () => context.store.diary.addVent({ placeId: place.id, ...vent }));
}

/** One cover is not opened twice: what is written down as open is shut, or taken back, before it is opened again. */
function requireNoneOpen(placeId: string, vent: Vent, { store }: OrderContext): void {
  const open = store.diary
    .vents(placeId)
    .find(({ fromMs, toMs }) => toMs === null && Math.abs(vent.fromMs - fromMs) < VENTS_LOOKBACK_MS);
  if (vent.toMs !== null || !open) return;
  const since = new Date(open.fromMs).toISOString();
  const message = `A vent is written down as open since ${since}: shut it, or take it back, before it is opened again.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'from', open: since } });
}

function removeVent(placeId: string, id: number, context: OrderContext): void {
  const place = requirePlace(context.world, placeId);
  const removed = commit(context, () => context.store.diary.removeVent({ placeId: place.id, id }));
  if (removed) return;
  throw new Fault({ code: 'not-found', message: `There is no logged vent ${id} at "${placeId}".` });
}

function dropUndefined<T extends object>(patch: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  const kept = Object.entries(patch).filter(([, value]) => value !== undefined);
  return Object.fromEntries(kept) as { [K in keyof T]?: Exclude<T[K], undefined> };
}
