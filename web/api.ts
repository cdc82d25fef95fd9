import type { AlarmEvent } from '../shared/model/alarms/alarm.ts';
import type { Probe, Reading } from '../shared/model/probes/probe.ts';
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

export type ApiProblem = { readonly code: string; readonly message: string; readonly details: unknown };
export type ProbeRow = Probe & { readonly latest?: Reading | null };
export type RefusedAnswer = {
  readonly refused: readonly RefusedPack[];
  readonly total: number;
  readonly byCode: Readonly<Record<string, number>>;
};
export type VentToLog = {
  readonly from: string;
  readonly to: string | null;
  readonly note: string | null;
};
export type SpanMs = { readonly fromMs: number; readonly toMs: number };

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

/** Asks the interface; an order that needs the password again goes on once it was given. @throws ApiError */
export async function ask<T>(path: string, init: RequestInit = {}): Promise<T> {
  try {
    return await askOnce<T>(path, init);
  } catch (thrown) {
    if (!(thrown instanceof ApiError) || thrown.problem.code !== 'confirm-needed') throw thrown;
    if (await confirmIdentity()) return askOnce<T>(path, init);
    const message = 'Cancelled: your password was not given.';
    throw new ApiError({ ...thrown.problem, message });
  }
}

async function askOnce<T>(path: string, init: RequestInit): Promise<T> {
  const response = await fetch(`/api/v1${path}`, {
    ...init,
    headers: init.body
      ? { accept: 'application/json', 'content-type': 'application/json' }
      : { accept: 'application/json' },
  }).catch(() => {
    throw new ApiError({ code: 'offline', message: 'The daemon cannot be reached.', details: null });
  });
  const body: unknown = await response.json().catch(() => null);
  if (!response.ok) {
    const problem = problemOf(response.status, body);
    if (problem.code === 'sign-in-needed') signInNeeded.dispatchEvent(new Event('ring'));
    throw new ApiError(problem);
  }
  return body as T;
}

const post = (path: string, body: unknown = {}): Promise<unknown> =>
  ask(path, { method: 'POST', body: JSON.stringify(body) });

const placePath = (placeId: string, rest: string) => `/places/${encodeURIComponent(placeId)}${rest}`;
const alarmPath = (alarmId: string, rest: string) => `/alarms/${encodeURIComponent(alarmId)}${rest}`;

function query(values: Record<string, string | number | null>): string {
  const given = Object.entries(values).filter(([, value]) => value !== null);
  return given.length === 0
    ? ''
    : `?${new URLSearchParams(given.map(([key, value]) => [key, String(value)]))}`;
}

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

/** The words of whatever was thrown. */
export function problemWords(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : 'Something went wrong.';
}
