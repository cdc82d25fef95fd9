import type { ErrorRequestHandler } from 'express';
import { Fault, type FaultCode, OPERATOR_FAULTS } from '../../../shared/faults.ts';
import { PROBLEM_MEDIA_TYPE, type Problem, problemTypeOf } from '../../../shared/wire/problem.ts';
import type { Log } from '../../ports.ts';

const STATUS_OF: Partial<Record<FaultCode, number>> = {
  'not-found': 404,
  'bad-request': 400,
  'not-a-photo': 415,
  'photo-too-large': 413,
  'forbidden-origin': 403,
  'sign-in-needed': 401,
  'sign-in-failed': 401,
  'not-allowed': 403,
  'confirm-needed': 403,
  'passkey-needed': 401,
  'too-many-attempts': 429,
  'store-failed': 503,
  'websocket-needed': 426,
};

const INTERNAL = 'internal';
const NOTES: Readonly<Record<string, { readonly meaning: string; readonly remedy: string }>> = {
  ...OPERATOR_FAULTS,
  [INTERNAL]: { meaning: 'a fault in Strikewell', remedy: 'look at the log of the daemon' },
};

/** Answers a request that failed with problem details. @source [RFC9457] */
export function answerFault(log: Log): ErrorRequestHandler {
  return (cause: unknown, request, response, _next) => {
    const fault = faultOf(cause);
    if (!fault) {
      const error = cause instanceof Error ? (cause.stack ?? cause.message) : String(cause);
      log.error('a request failed', { path: request.path, error });
    }
    const waitMs = fault?.code === 'too-many-attempts' ? Number(fault.details['waitMs']) : 0;
    if (waitMs > 0) response.setHeader('retry-after', Math.ceil(waitMs / 1000));
    if (fault?.code === 'websocket-needed')
      response.set({ upgrade: 'websocket', connection: 'upgrade, close' });
    const problem = problemOf(fault ?? INTERNAL_FAULT, { instance: request.path });
    response.status(problem.status).type(PROBLEM_MEDIA_TYPE).send(JSON.stringify(problem));
  };
}

type Failure = Pick<Fault, 'message' | 'details'> & { readonly code: FaultCode | typeof INTERNAL };

const INTERNAL_FAULT: Failure = {
  code: INTERNAL,
  message: 'The daemon failed at this request; its log says why.',
  details: {},
};

/**
 * Problem details of what failed.
 * @param at path of the request, and the status where it is not the one of the fault
 */
export function problemOf(
  { code, message, details }: Failure,
  at: { readonly instance: string; readonly status?: number },
): Problem {
  return {
    type: problemTypeOf(code),
    title: NOTES[code]?.meaning ?? code,
    status: at.status ?? (code === INTERNAL ? 500 : (STATUS_OF[code] ?? 400)),
    detail: message,
    instance: at.instance,
    error: { code, message, details },
  };
}

/** What a type of problem means. @throws Fault `not-found` */
export function problemType(code: string) {
  const note = Object.hasOwn(NOTES, code) ? NOTES[code] : undefined;
  if (note === undefined) {
    const message = `There is no problem "${code.slice(0, 40)}"; the list of codes is in DEVELOPERS.md.`;
    throw new Fault({ code: 'not-found', message });
  }
  return { type: problemTypeOf(code), code, title: note.meaning, remedy: note.remedy };
}

/** Faults as they are; what the body parser refuses as a bad request; null for mistakes of our own. */
function faultOf(cause: unknown): Fault | null {
  if (cause instanceof Fault) return cause;
  if (!(cause instanceof Error) || !('status' in cause) || typeof cause.status !== 'number') return null;
  if (cause.status >= 500) return null;
  if ('type' in cause && cause.type === 'entity.parse.failed') {
    // the words of the parser repeat what was sent, which may be a password
    return new Fault({
      code: 'bad-request',
      message: 'The request cannot be read: it is not a JSON object.',
    });
  }
  return new Fault({ code: 'bad-request', message: `The request cannot be read: ${cause.message}.`, cause });
}
