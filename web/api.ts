<<<<<<< 57536026c3e0bc40beef27cc7d1cb18be14d09dc
import type { Answered, InAddress, InCall, RouteId } from '../shared/routes/call.ts';
import { ADDRESSES } from './addresses.ts';
=======
import type { AlarmEvent } from '../shared/model/alarms/alarm.ts';
import type { Probe, Reading } from '../shared/model/probes/probe.ts';
import type { SetUp } from '../shared/model/set-up.ts';
import type { Targets } from '../shared/model/targets.ts';
import type { AlarmQualityAnswer } from '../shared/wire/alarms/alarm-quality.ts';
import type { PastAnswer, TriableRule } from '../shared/wire/alarms/past.ts';
import type { Trial } from '../shared/wire/alarms/trial.ts';
import type {
  AlarmEventsAnswer,
  AlarmsAnswer,
  BandSpan,
  Explanation,
  Exposures,
  HouseFacts,
  MistAnswer,
  PlaceNow,
  RefusedPack,
  Series,
  SeriesName,
  VentsAnswer,
} from '../shared/wire/http.ts';
import type { FindingsAnswer } from '../shared/wire/probes/finding.ts';
>>>>>>> 8142fa8e2855485c001d7c3f310d0552f9f316a1

type ApiProblem = { readonly code: string; readonly message: string; readonly details: unknown };
type SpanMs = { readonly fromMs: number; readonly toMs: number };

/** What the daemon answered instead of what was asked for. */
export class ApiError extends Error {
  readonly problem: ApiProblem;
  constructor(problem: ApiProblem) {
    super(problem.message);
    this.problem = problem;
  }
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null;
}

function problemOf(status: number, body: unknown): ApiProblem {
  const error = isRecord(body) ? body['error'] : null;
  if (isRecord(error) && typeof error['message'] === 'string') {
    return { code: String(error['code']), message: error['message'], details: error['details'] };
  }
  return {
    code: `http-${status}`,
    message: `The daemon answered ${status} without a reason.`,
    details: null,
  };
}

/** Told when the house answers only who signs in. */
export const signInNeeded = new EventTarget();

let confirmIdentity: () => Promise<boolean> = () => Promise.resolve(false);

/** What is done when an order needs the password again; it answers whether it was given. */
export function onConfirmNeeded(run: () => Promise<boolean>): void {
  confirmIdentity = run;
}

/** What is sent, whatever the route. */
type Sent = {
  readonly params?: Readonly<Record<string, string | number>>;
  readonly query?: Readonly<Record<string, unknown>>;
  readonly body?: unknown;
};

/**
 * Calls a route of the interface; one that needs the password again goes on once it was given.
 * @param sent parameters of the path, query and body, each where the route has some
 * @throws ApiError
 * @example await call('shelveAlarm', { params: { id }, body: { minutes: 30, reason: 'hosing down' } });
 */
export async function call<Id extends RouteId>(id: Id, ...[given]: InCall<Id>): Promise<Answered<Id>> {
  const sent = given as Sent | undefined;
  try {
    return await callOnce(id, sent);
  } catch (thrown) {
    if (!(thrown instanceof ApiError) || thrown.problem.code !== 'confirm-needed') throw thrown;
    if (await confirmIdentity()) return callOnce(id, sent);
    const message = 'Cancelled: your password was not given.';
    throw new ApiError({ ...thrown.problem, message });
  }
}

/** The address of a route, as a link needs it. */
export function addressOf<Id extends RouteId>(id: Id, ...[given]: InAddress<Id>): string {
  return requestOf(id, given as Sent | undefined).address;
}

function requestOf(id: RouteId, { params = {}, query = {} }: Sent = {}) {
  const [method = '', path = ''] = ADDRESSES[id].split(' ');
  const filled = path.replaceAll(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(String(params[name])));
  const given = Object.entries(query).filter(([, value]) => value !== null && value !== undefined);
  const asked = new URLSearchParams(given.map(([name, value]) => [name, String(value)]));
  return { method: method.toUpperCase(), address: given.length === 0 ? filled : `${filled}?${asked}` };
}

async function callOnce<T>(id: RouteId, sent: Sent = {}): Promise<T> {
  const { method, address } = requestOf(id, sent);
  const json = sent.body === undefined ? {} : { 'content-type': 'application/json' };
  const response = await fetch(address, {
    method,
    headers: { accept: 'application/json', ...json },
    ...(sent.body === undefined ? {} : { body: JSON.stringify(sent.body) }),
  }).catch(() => {
    throw new ApiError({ code: 'offline', message: 'The daemon cannot be reached.', details: null });
  });
  const body: unknown = response.status === 204 ? undefined : await response.json().catch(() => null);
  if (!response.ok) {
    const problem = problemOf(response.status, body);
    if (problem.code === 'sign-in-needed') signInNeeded.dispatchEvent(new Event('ring'));
    throw new ApiError(problem);
  }
  return body as T;
}

/** A span as queries ask for it. */
export function spanQuery({ fromMs, toMs }: SpanMs): { readonly from: string; readonly to: string } {
  return { from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() };
}

<<<<<<< 57536026c3e0bc40beef27cc7d1cb18be14d09dc
=======
function dropUndefined(values: Readonly<Record<string, number | undefined>>): Record<string, number> {
  const given = Object.entries(values).flatMap(([key, value]) => (value === undefined ? [] : [[key, value]]));
  return Object.fromEntries(given) as Record<string, number>;
}

const iso = (ms: number) => new Date(ms).toISOString();
const spanQuery = (span: SpanMs) => query({ from: iso(span.fromMs), to: iso(span.toMs) });

/** The questions and orders of the page, over HTTP. Each throws ApiError. */
export const api = {
  series: (placeId: string, quantity: SeriesName, span: SpanMs & { points: number }) =>
    ask<Series>(
      placePath(placeId, '/series') +
        query({ quantity, from: iso(span.fromMs), to: iso(span.toMs), points: span.points }),
    ),
  bands: (placeId: string, span: SpanMs) =>
    ask<{ bands: BandSpan[] }>(placePath(placeId, `/bands${spanQuery(span)}`)),
  exposures: (placeId: string, span: SpanMs) =>
    ask<Exposures>(placePath(placeId, `/exposures${spanQuery(span)}`)),
  now: (placeId: string) => ask<PlaceNow>(placePath(placeId, '/now')),
  explain: (placeId: string, number: { of: string; span: SpanMs | null }) =>
    ask<Explanation>(
      placePath(placeId, '/explain') +
        query({
          of: number.of,
          from: number.span && iso(number.span.fromMs),
          to: number.span && iso(number.span.toMs),
        }),
    ),
  mist: (placeId: string, span: SpanMs) => ask<MistAnswer>(placePath(placeId, `/mist${spanQuery(span)}`)),
  vents: (placeId: string, span: SpanMs) => ask<VentsAnswer>(placePath(placeId, `/vents${spanQuery(span)}`)),
  logVent: async (placeId: string, vent: VentToLog): Promise<number> => {
    const body = JSON.stringify(vent);
    return (await ask<{ id: number }>(placePath(placeId, '/vents'), { method: 'POST', body })).id;
  },
  removeVent: (placeId: string, ventId: number) =>
    ask<unknown>(placePath(placeId, `/vents/${ventId}`), { method: 'DELETE' }),
  recordStart: async (placeId: string): Promise<string | null> =>
    (await ask<{ recordStart: string | null }>(placePath(placeId, ''))).recordStart,
  putTargets: (placeId: string, body: Record<string, unknown>) =>
    ask<Targets>(placePath(placeId, '/targets'), { method: 'PUT', body: JSON.stringify(body) }),
  setUp: (placeId: string, answers: SetUp) =>
    ask<unknown>(placePath(placeId, '/set-up'), { method: 'POST', body: JSON.stringify(answers) }),
  patchPlace: (placeId: string, body: Record<string, unknown>) =>
    ask<unknown>(placePath(placeId, ''), { method: 'PATCH', body: JSON.stringify(body) }),
  removePlace: (placeId: string) => ask<unknown>(placePath(placeId, ''), { method: 'DELETE' }),
  tryOnPast: (placeId: string, { rule, fromMs, toMs }: SpanMs & { rule: TriableRule }, trial: Trial) =>
    ask<PastAnswer>(
      placePath(placeId, '/alarms/past') +
        query({ rule, from: iso(fromMs), to: iso(toMs), ...dropUndefined(trial) }),
    ),
  alarmQuality: (span: SpanMs) => ask<AlarmQualityAnswer>(`/alarms/quality${spanQuery(span)}`),
  reset: (alarmId: string) => post(alarmPath(alarmId, '/reset')),
  takeOutOfService: (alarmId: string, order: { reason: string }) =>
    post(alarmPath(alarmId, '/out-of-service'), order),
  putInService: (alarmId: string) => post(alarmPath(alarmId, '/in-service')),
  alarms: (span: SpanMs) => ask<AlarmsAnswer>(`/alarms${spanQuery(span)}`),
  alarmEvents: async (alarmId: string): Promise<readonly AlarmEvent[]> =>
    (await ask<AlarmEventsAnswer>(alarmPath(alarmId, '/events'))).events,
  acknowledge: (alarmId: string) => post(alarmPath(alarmId, '/acknowledge')),
  shelve: (alarmId: string, order: { minutes: number; reason: string }) =>
    post(alarmPath(alarmId, '/shelve'), order),
  unshelve: (alarmId: string) => post(alarmPath(alarmId, '/unshelve')),
  refused: () => ask<RefusedAnswer>('/refused'),
  findings: (placeId: string | null) => ask<FindingsAnswer>(`/probes/findings${query({ place: placeId })}`),
  probes: () => ask<{ probes: readonly ProbeRow[] }>('/probes'),
  house: () => ask<HouseFacts>('/house'),
  startBackup: () => post('/backups'),
  startDemo: () => post('/demo'),
  removeDemo: () => ask<unknown>('/demo', { method: 'DELETE' }),
};

>>>>>>> 8142fa8e2855485c001d7c3f310d0552f9f316a1
/** The words of whatever was thrown. */
export function problemWords(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : 'Something went wrong.';
}
