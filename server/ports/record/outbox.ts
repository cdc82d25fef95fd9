import type { AlarmPriority } from '../../../shared/rules/rules.ts';

export type NewMessage = {
  readonly key: string;
  readonly wayId: number;
  /** null for a message about no alarm, or several */
  readonly alarmId: string | null;
  /** to whom and by which contact method, in words as they were then */
  readonly recipient: string;
  /** what it is: `alarm.raised`, `sheet.morning`, … */
  readonly kind: string;
  readonly body: string;
  readonly createdMs: number;
  /** what goes first; medium unless given */
  readonly priority?: AlarmPriority;
  /** not to be sent before, ms since epoch; `createdMs` unless given */
  readonly notBeforeMs?: number;
};

export type OutboxMessage = Pick<NewMessage, 'key' | 'wayId' | 'alarmId' | 'body' | 'createdMs'> & {
  readonly id: number;
  readonly priority: AlarmPriority;
  readonly attempts: number;
  readonly nextAtMs: number;
  readonly lastError: string | null;
};

/** The state of a message. */
export type SentMessage = OutboxMessage &
  Pick<NewMessage, 'recipient' | 'kind'> & {
    readonly state: 'waiting' | 'sent' | 'abandoned';
    readonly sentMs: number | null;
  };

export type Outbox = {
  put(message: NewMessage): void;
  /** The number the next message will have. */
  nextId(): number;
  /** Contact methods with a message that is due. */
  dueContactMethods(nowMs: number): number[];
  /** High priority first, then the oldest. */
  due(query: { nowMs: number; limit: number; wayId?: number }): OutboxMessage[];
  nextDueMs(): number | null;
  sent(id: number, atMs: number): void;
  failed(failure: { id: number; nextAtMs: number; error: string }): void;
  abandon(id: number, error: string): void;
  /** Gives up what still waits for a contact method. */
  abandonContactMethod(wayId: number, error: string): void;
  waiting(): { count: number; lastError: string | null };
  /** When the oldest that waits was written, ms since epoch; null where none waits. */
  oldestWaitingMs(): number | null;
  /** True while a message about the alarm waits for the contact method. */
  isWaiting(of: { wayId: number; alarmId: string }): boolean;
  /** True when a message went by the contact method, or waits for it, within what is remembered. */
  wasUsed(wayId: number): boolean;
  /** When the newest message of a kind that arrived was written, ms since epoch; null where none is remembered. */
  newestSent(kind: string): number | null;
  /** Messages about an alarm, newest first. */
  ofAlarm(alarmId: string, limit: number): SentMessage[];
};
