import type { Answered, InAddress, InCall, RouteId } from '../shared/routes/call.ts';
import { ADDRESSES } from './addresses.ts';

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

/** Called when a sign-in is needed. */
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

/**
 * Sends a file as it is.
 * @throws ApiError
 */
export function upload<Id extends RouteId>(
  id: Id,
  sent: InAddress<Id>[0],
  file: Blob,
): Promise<Answered<Id>> {
  return callOnce(id, sent as Sent | undefined, file);
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

async function callOnce<T>(id: RouteId, sent: Sent = {}, file: Blob | null = null): Promise<T> {
  const { method, address } = requestOf(id, sent);
  const json = sent.body === undefined ? {} : { 'content-type': 'application/json' };
  const body = file ?? (sent.body === undefined ? null : JSON.stringify(sent.body));
  const response = await fetch(address, {
    method,
    headers: { accept: 'application/json', ...json },
    ...(body === null ? {} : { body }),
  }).catch(() => {
    throw new ApiError({ code: 'offline', message: 'The daemon cannot be reached.', details: null });
  });
  const answer: unknown = response.status === 204 ? undefined : await response.json().catch(() => null);
  if (!response.ok) {
    const problem = problemOf(response.status, answer);
    if (problem.code === 'sign-in-needed') signInNeeded.dispatchEvent(new Event('ring'));
    throw new ApiError(problem);
  }
  return answer as T;
}

/** A span as queries ask for it. */
export function spanQuery({ fromMs, toMs }: SpanMs): { readonly from: string; readonly to: string } {
  return { from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() };
}

/** The words of whatever was thrown. */
export function problemWords(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : 'Something went wrong.';
}
