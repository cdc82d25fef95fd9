import type { NewContactMethod } from '../../../shared/model/people/people.ts';
import type { AlarmPriority } from '../../../shared/rules/rules.ts';

/** Messages under way at one time: in all, by one contact method, to one host. Proposals of the project. */
export const MOST_AT_ONCE = { all: 64, way: 4, host: 8 } as const;
/** Of these, places that only a message of high priority may take. */
const KEPT_FOR_HIGH = { all: 16, way: 1, host: 2 } as const;

/** All e-mail leaves by one server. */
const MAIL_HOST = 'the mail server';
const RANK: Readonly<Record<AlarmPriority, number>> = { high: 0, medium: 1, low: 2 };

/** A message and where it goes. */
export type Load = {
  /** rises with age: the smaller, the older */
  readonly id: number;
  readonly wayId: number;
  readonly host: string;
  /** null for a message about no alarm, or several */
  readonly alarmId: string | null;
  readonly priority: AlarmPriority;
};

/** The host that a contact method burdens, with its port. */
export function hostOf(method: NewContactMethod): string {
  switch (method.kind) {
    case 'mail':
      return MAIL_HOST;
    case 'webhook':
      return new URL(method.url).host;
    case 'push':
      return new URL(method.subscription.endpoint).host;
  }
}

/**
 * Which messages begin now: high priority first, then the oldest. No message begins twice, and of one alarm one message
 * at a time goes by one contact method, so that they arrive in their order.
 * @param due messages that are due, in any order, those under way may be among them
 * @param underWay messages that are being sent
 */
export function nextLoads<T extends Load>(due: readonly T[], underWay: readonly Load[]): T[] {
  const busy = [...underWay];
  const ordered = due.toSorted((a, b) => RANK[a.priority] - RANK[b.priority] || a.id - b.id);
  return ordered.filter((load) => {
    if (!mayBegin(load, busy)) return false;
    busy.push(load);
    return true;
  });
}

function mayBegin(load: Load, busy: readonly Load[]): boolean {
  const ofMethod = busy.filter(({ wayId }) => wayId === load.wayId);
  const ofHost = busy.filter(({ host }) => host === load.host);
  if (ofMethod.some(({ id, alarmId }) => id === load.id || (alarmId !== null && alarmId === load.alarmId)))
    return false;
  const room = (limit: keyof typeof MOST_AT_ONCE) =>
    MOST_AT_ONCE[limit] - (load.priority === 'high' ? 0 : KEPT_FOR_HIGH[limit]);
  return busy.length < room('all') && ofMethod.length < room('way') && ofHost.length < room('host');
}
