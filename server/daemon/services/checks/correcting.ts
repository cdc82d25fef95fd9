import { MS_PER_HOUR } from '../../../../shared/exposure/series.ts';
import { Fault } from '../../../../shared/faults.ts';
import type { Line } from '../../../../shared/model/line.ts';
import { type Correction, correctionLimits } from '../../../../shared/model/probes/correction.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';
import { CORRECTED, withLapse } from '../../../domain/alarms/limit-alarm.ts';
import { WHOLE_PLACE } from '../../../domain/alarms/signals.ts';
import { CLOUD_MS } from '../../../domain/calendar/nights.ts';
import { horizonMs } from '../../../domain/disk-space/horizon.ts';
import { fetchMarginMs } from '../../../domain/exposures/exposures.ts';
import { CORRECTION_STEP_MS } from '../../../domain/probes/corrections.ts';
import type { By, CorrectionOrder } from '../../../ports.ts';
import { LAST_HOUR } from '../../world/targets-timeline.ts';
import { commit, type OrderContext } from '../orders.ts';

/** @throws Fault `not-found` */
export function requireProbe(probeId: number, { world }: Pick<OrderContext, 'world'>): Probe {
  const probe = world.probes.get(probeId);
  if (probe) return probe;
  const message = `There is no probe ${probeId}; GET /api/v1/probes lists them.`;
  throw new Fault({ code: 'not-found', message });
}

/**
 * Corrects what a probe reports, from a time on and until the next correction; what was counted from then on is counted
 * again when it is asked for.
 * @throws Fault `not-found`, `bad-request`, `store-failed`
 */
export function correct(probeId: number, order: CorrectionOrder & By, context: OrderContext): Correction {
  const { store, clock } = context;
  const probe = requireProbe(probeId, context);
  const enteredMs = clock.nowMs();
  const { gain, offset, reason, checkId, by = null } = order;
  requireLine(probe, { gain, offset });
  const fromMs = Math.floor((order.fromMs ?? enteredMs) / CORRECTION_STEP_MS) * CORRECTION_STEP_MS;
  if (fromMs > enteredMs) throw badRequest('from', '"from" must not lie ahead: nothing is read there yet.');
  if (checkId !== null && store.checks.one(checkId)?.probeId !== probeId)
    throw badRequest('checkId', `There is no check ${checkId} of this probe.`);
  requireReadings(fromMs, context);
  return changed(probe, fromMs, context, () =>
    store.corrections.add({ probeId, fromMs, gain, offset, reason, by, enteredMs, checkId }),
  );
}

/**
 * Withdraws a correction, as if it had never been entered, or takes that back. It stays in the history.
 * @throws Fault `not-found`, `bad-request`, `store-failed`
 */
export function setWithdrawn(
  correctionId: number,
  { withdrawn, by = null }: { readonly withdrawn: boolean } & By,
  context: OrderContext,
): Correction {
  const { store, clock } = context;
  const correction = store.corrections.one(correctionId);
  if (!correction) {
    const message = `There is no correction ${correctionId}; GET /api/v1/checks lists them.`;
    throw new Fault({ code: 'not-found', message });
  }
  if ((correction.withdrawnMs !== null) === withdrawn) return correction;
  requireReadings(correction.fromMs, context);
  const mark = withdrawn ? { atMs: clock.nowMs(), by } : null;
  return changed(requireProbe(correction.probeId, context), correction.fromMs, context, () => {
    store.corrections.setWithdrawn(correctionId, mark);
    return { ...correction, withdrawnMs: mark?.atMs ?? null, withdrawnBy: mark?.by ?? null };
  });
}

/** Changes what holds of a probe from a time on, with all that follows from its readings. */
function changed<T>(probe: Probe, fromMs: number, context: OrderContext, work: () => T): T {
  return changedOf([probe], fromMs, context, work);
}

/** The same of several probes. */
export function changedOf<T>(
  probes: readonly Probe[],
  fromMs: number,
  context: OrderContext,
  work: () => T,
): T {
  const { world, store } = context;
  const placeIds = new Set(probes.map(({ placeId }) => placeId));
  const places = [...world.places.values()].filter(({ id }) => placeIds.has(id));
  const result = commit(context, () => {
    const done = work();
    for (const { id, settings } of places) {
      // a reading bears on what is counted before it too: through the straight piece that leads to it
      const reachMs = fetchMarginMs(settings) + CLOUD_MS;
      const first = Math.floor((fromMs - reachMs) / MS_PER_HOUR);
      store.settled.forget(id, { first, last: LAST_HOUR });
    }
    for (const { id } of probes) world.refreshLatest(id);
    lapseOf(probes, context);
    return done;
  });
  for (const { id } of places) context.placeChanged(id);
  return result;
}

/** An alarm that rests on probes which are corrected otherwise is judged by their next readings. */
function lapseOf(probes: readonly Probe[], { world, store, clock }: OrderContext): void {
  const places = new Set(probes.map(({ placeId }) => placeId));
  const sources = new Set([WHOLE_PLACE, ...probes.map(({ id }) => String(id))]);
  for (const record of world.alarms.values()) {
    if (record.placeId === null || !places.has(record.placeId)) continue;
    const after = withLapse(record, { sources, why: CORRECTED, nowMs: clock.nowMs() });
    if (after === record) continue;
    world.alarms.set(record.id, after);
    store.alarms.save(after);
  }
}

/** What was counted from readings that are gone cannot be counted otherwise. */
export function requireReadings(fromMs: number, { store }: OrderContext): void {
  const { takenFromMs } = horizonMs(store.horizon.get());
  if (fromMs >= takenFromMs) return;
  const earliest = new Date(takenFromMs).toISOString();
  const message = `"from" must not lie before ${earliest}: older readings are not kept any more, and what was counted from them stays as it is. A correction that began before ends with one of gain 1 and offset 0.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'from', earliest } });
}

function requireLine({ device, name, quantity }: Probe, line: Line): void {
  const limits = correctionLimits(quantity);
  if (limits === null)
    throw badRequest(
      'probeId',
      `${device}/${name} cannot be corrected: it is no temperature, humidity or light.`,
    );
  for (const field of ['gain', 'offset'] as const) {
    const [low, high] = limits[field];
    if (line[field] >= low && line[field] <= high) continue;
    throw badRequest(
      field,
      `"${field}" must be from ${low} to ${high}; a probe that is further off is to be replaced.`,
    );
  }
}

function badRequest(field: string, message: string): Fault {
  return new Fault({ code: 'bad-request', message, details: { [field]: message } });
}
