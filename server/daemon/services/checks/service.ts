import { Fault } from '../../../../shared/faults.ts';
import type { CheckStep, KeptCheck, NewCheck } from '../../../../shared/model/probes/check.ts';
import { correctionLimits } from '../../../../shared/model/probes/correction.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';
import type { CheckView, ProbeTruth } from '../../../../shared/wire/probes/checks.ts';
import { awayOf, takenAlong } from '../../../domain/probes/checks/away.ts';
import { checkKinds, referencesOf } from '../../../domain/probes/checks/reference.ts';
import { checkResult } from '../../../domain/probes/checks/result.ts';
import { correctionsInForce, lineAt } from '../../../domain/probes/corrections.ts';
import { isTemperature } from '../../../domain/probes/left-out.ts';
import type { By, CheckService } from '../../../ports.ts';
import { commit, type OrderContext } from '../orders.ts';
import { changedOf, correct, requireProbe, requireReadings, setWithdrawn } from './correcting.ts';
import { type StepState, stepAt, stepState } from './step.ts';

/** After a check the next is due in half a year, ms, unless set otherwise. Common practice, no source. */
const NEXT_CHECK_MS = 182 * 86_400_000;
/** Most checks that are listed as done, the newest. */
const MOST_DONE = 100;

/** Leads checks, and keeps corrections. */
export function createCheckService(context: OrderContext): CheckService {
  const { store } = context;
  return {
    answer() {
      const checks = store.checks.all().map((check) => viewOf(check, context));
      const done = checks.filter(({ ended }) => ended !== null);
      return {
        probes: [...context.world.probes.values()].map((probe) => truthOf(probe, checks, context)),
        open: checks.filter(({ ended }) => ended === null),
        done: done.toReversed().slice(0, MOST_DONE),
      };
    },
    check: (checkId) => viewOf(requireCheck(checkId, context), context),
    start: (order) => start(order, context),
    begin(checkId, { sinceMs, untilMs }) {
      const { check, at, step } = openStep(checkId, context);
      const nowMs = context.clock.nowMs();
      const since = sinceMs ?? nowMs;
      if (since > nowMs)
        throw badRequest('since', 'The probe cannot be there before now: "since" lies ahead.');
      if (untilMs !== null && untilMs <= since) throw badRequest('until', '"until" must come after "since".');
      return putInPlace(check, withStep(check, at, { ...step, sinceMs: since, untilMs }), context);
    },
    take: (checkId) => take(checkId, context),
    abandon(checkId) {
      const check = requireOpen(checkId, context);
      // one that took its probe away stays: what the probe reported then is of no place
      const endedMs = awayOf(check) === null ? null : context.clock.nowMs();
      commit(context, () =>
        endedMs === null ? store.checks.remove(check.id) : store.checks.save({ ...check, endedMs }),
      );
    },
    correct: (probeId, order) => correct(probeId, order, context),
    setWithdrawn: (correctionId, order) => setWithdrawn(correctionId, order, context),
    setDue(probeId, dueMs) {
      requireProbe(probeId, context);
      commit(context, () => store.checks.setDue(probeId, dueMs));
    },
  };
}

function start({ by = null, ...order }: NewCheck & By, context: OrderContext): CheckView {
  const { store, clock } = context;
  const probe = requireProbe(order.probeId, context);
  if (!checkKinds(probe.quantity).includes(order.kind))
    throw badRequest('kind', `${probe.device}/${probe.name} cannot be checked so.`);
  if (store.checks.all().some(({ probeId, endedMs }) => probeId === probe.id && endedMs === null))
    throw badRequest('probeId', `A check of ${probe.device}/${probe.name} is under way: end it first.`);
  if (order.kind === 'beside') requireBeside(probe, order.besideProbeId, context);
  const temperature = temperatureOf(order, context);
  const steps = referencesOf(order).map(
    (reference): CheckStep => ({ reference, sinceMs: null, untilMs: null, taken: null }),
  );
  const body = { kind: order.kind, by, temperature, steps, result: null };
  const check = commit(context, () =>
    store.checks.add({ probeId: probe.id, startedMs: clock.nowMs(), body }),
  );
  return viewOf(check, context);
}

function requireBeside(probe: Probe, besideProbeId: number | undefined, context: OrderContext): void {
  const beside = besideProbeId === undefined ? undefined : context.world.probes.get(besideProbeId);
  const same = (one: Probe) => (isTemperature(one.quantity) ? 'temperature' : one.quantity);
  if (beside && beside.id !== probe.id && same(beside) === same(probe)) return;
  throw badRequest('besideProbeId', 'Name another probe that measures the same, and that is trusted.');
}

function temperatureOf(order: NewCheck, { world }: OrderContext): KeptCheck['body']['temperature'] {
  const { kind, temperatureProbeId, temperatureC } = order;
  if (kind !== 'salts') return null;
  if (temperatureC !== undefined) return { celsius: temperatureC };
  const probe = temperatureProbeId === undefined ? undefined : world.probes.get(temperatureProbeId);
  if (probe && isTemperature(probe.quantity)) return { probeId: probe.id };
  const message =
    'What a salt solution is worth hangs on its temperature: name the probe that reads it in the jar, or give it in °C.';
  throw badRequest('temperatureProbeId', message);
}

function take(checkId: number, context: OrderContext): CheckView {
  const { store, clock } = context;
  const { check, at, step } = openStep(checkId, context);
  const state = stepState(check, step, { ...context, nowMs: clock.nowMs() });
  if (!state?.taken) throw badRequest('step', notYet(state));
  const body = withStep(check, at, { ...step, taken: state.taken });
  const points = body.steps.flatMap(({ taken }) => taken ?? []);
  if (points.length < body.steps.length) return kept(check, body, context);
  const { quantity } = requireProbe(check.probeId, context);
  const endedMs = clock.nowMs();
  const done = { ...check, endedMs, body: { ...body, result: checkResult(points, quantity ?? '') } };
  commit(context, () => {
    store.checks.save(done);
    store.checks.setDue(check.probeId, endedMs + NEXT_CHECK_MS);
  });
  return viewOf(done, context);
}

function notYet(state: StepState | null): string {
  if (state === null) return 'The probe is not in its place yet: begin the step first.';
  const missing = state.steadiness.criteria.filter(({ met }) => !met).map(({ name }) => name);
  return missing.length === 0
    ? 'The temperature over the salt is not known, or beyond 0 to 50 °C, where no value is published.'
    : `The readings have not come to rest yet: ${missing.join(', ')}. Wait, and take them then.`;
}

type Body = KeptCheck['body'];

function withStep({ body }: KeptCheck, at: number, step: CheckStep): Body {
  return { ...body, steps: body.steps.map((one, i) => (i === at ? step : one)) };
}

function kept(check: KeptCheck, body: Body, context: OrderContext): CheckView {
  const changed = { ...check, body };
  commit(context, () => context.store.checks.save(changed));
  return viewOf(changed, context);
}

/** Keeps since when the probe is in its bath or jar; what it reports from then on is counted nowhere. */
function putInPlace(check: KeptCheck, body: Body, context: OrderContext): CheckView {
  const { world, store } = context;
  const changed = { ...check, body };
  const froms = [awayOf(check), awayOf(changed)].flatMap((away) => (away ? [away.fromMs] : []));
  if (froms.length === 0) return kept(check, body, context);
  const fromMs = Math.min(...froms);
  requireReadings(fromMs, context);
  const ids = takenAlong(check, [...world.probes.values()]);
  const probes = ids.map((id) => requireProbe(id, context));
  changedOf(probes, fromMs, context, () => store.checks.save(changed));
  return viewOf(changed, context);
}

function viewOf(check: KeptCheck, context: OrderContext): CheckView {
  const { id, probeId, body, startedMs, endedMs } = check;
  const at = endedMs === null ? stepAt(body) : null;
  const step = at === null ? undefined : body.steps[at];
  const state = step ? stepState(check, step, { ...context, nowMs: context.clock.nowMs() }) : null;
  return {
    id,
    probeId,
    ...body,
    at,
    started: iso(startedMs),
    ended: endedMs === null ? null : iso(endedMs),
    steadiness: state?.steadiness ?? null,
  };
}

function truthOf(probe: Probe, checks: readonly CheckView[], context: OrderContext): ProbeTruth {
  const { store, clock } = context;
  const corrections = store.corrections.of(probe.id);
  const limits = correctionLimits(probe.quantity);
  const due = store.checks.due().find(({ probeId }) => probeId === probe.id);
  return {
    probeId: probe.id,
    kinds: checkKinds(probe.quantity),
    limits,
    told: reportedBy(probe, context),
    inForce: lineAt(correctionsInForce(corrections), clock.nowMs()),
    corrections,
    due: due ? iso(due.dueMs) : null,
    lastCheck: checks.findLast(({ probeId, ended }) => probeId === probe.id && ended !== null)?.ended ?? null,
  };
}

function reportedBy({ id }: Probe, { world, store }: OrderContext): ProbeTruth['told'] {
  const latest = world.latest.get(id);
  if (!latest) return null;
  const { tMs } = latest;
  const [found] = store.journal.window({ probeIds: [id], fromMs: tMs, toMs: tMs, asReported: true });
  return { tMs, value: found?.values.at(-1) ?? latest.value, corrected: latest.value };
}

/** @throws Fault `not-found` */
function requireCheck(checkId: number, { store }: OrderContext): KeptCheck {
  const check = store.checks.one(checkId);
  if (check) return check;
  const message = `There is no check ${checkId}; GET /api/v1/checks lists them.`;
  throw new Fault({ code: 'not-found', message });
}

function requireOpen(checkId: number, context: OrderContext): KeptCheck {
  const check = requireCheck(checkId, context);
  if (check.endedMs === null) return check;
  throw badRequest('id', `The check ${checkId} is over: it stays as it is.`);
}

function openStep(checkId: number, context: OrderContext) {
  const check = requireOpen(checkId, context);
  const at = stepAt(check.body);
  const step = at === null ? undefined : check.body.steps[at];
  if (at === null || !step) throw badRequest('id', `All steps of the check ${checkId} are taken.`);
  return { check, at, step };
}

function iso(ms: number): string {
  return new Date(ms).toISOString();
}

function badRequest(field: string, message: string): Fault {
  return new Fault({ code: 'bad-request', message, details: { [field]: message } });
}
