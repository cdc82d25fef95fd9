import type { NewCheck } from '../../../shared/model/probes/check.ts';
import type { Correction } from '../../../shared/model/probes/correction.ts';
import type { ChecksAnswer, CheckView } from '../../../shared/wire/probes/checks.ts';
import { ask } from '../../api.ts';

const send = <T>(method: string, path: string, body: unknown = {}) =>
  ask<T>(path, { method, body: JSON.stringify(body) });

export type CorrectionToEnter = {
  readonly gain: number;
  readonly offset: number;
  readonly from?: string;
  readonly reason: string;
  readonly checkId?: number;
};

/** Questions and orders about checks and corrections, over HTTP. Each throws ApiError. */
export const checksApi = {
  all: () => ask<ChecksAnswer>('/checks'),
  one: (checkId: number) => ask<CheckView>(`/checks/${checkId}`),
  start: (check: NewCheck) => send<CheckView>('POST', '/checks', check),
  begin: (checkId: number, span: { since?: string; until?: string }) =>
    send<CheckView>('POST', `/checks/${checkId}/begin`, span),
  take: (checkId: number) => send<CheckView>('POST', `/checks/${checkId}/take`),
  abandon: (checkId: number) => send<unknown>('DELETE', `/checks/${checkId}`),
  correct: (probeId: number, correction: CorrectionToEnter) =>
    send<Correction>('POST', `/probes/${probeId}/corrections`, correction),
  withdraw: (id: number) => send<Correction>('POST', `/corrections/${id}/withdraw`),
  restore: (id: number) => send<Correction>('POST', `/corrections/${id}/restore`),
  setDue: (probeId: number, due: string | null) =>
    send<unknown>('PUT', `/probes/${probeId}/check-due`, { due }),
};
