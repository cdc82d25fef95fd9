import type { HeardMessage, HeardVerdict, WatchAnswer } from '../../shared/wire/probes/hearing.ts';

/** Most messages the page shows. */
export const MOST_SHOWN = 200;

/** What the page shows of what was heard, newest first. */
export type Shown = {
  readonly messages: readonly HeardMessage[];
  readonly last: number;
  /** whether some between were not kept */
  readonly gap: boolean;
};

export const NOTHING_SHOWN: Shown = { messages: [], last: 0, gap: false };

/** What is shown after an answer. */
export function withHeard(shown: Shown, { messages, last, gap }: WatchAnswer): Shown {
  const known = new Set(shown.messages.map(({ id }) => id));
  const fresh = messages.filter(({ id }) => !known.has(id));
  const all = [...fresh, ...shown.messages].sort((a, b) => b.id - a.id).slice(0, MOST_SHOWN);
  return { messages: all, last, gap: shown.gap || gap };
}

/** The devices that were heard, by name. */
export function devicesOf(messages: readonly HeardMessage[]): string[] {
  const names = messages.flatMap(({ verdict }) => verdict.device ?? []);
  return [...new Set(names)].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
}

/** Those of one device, or all. */
export function ofDevice(messages: readonly HeardMessage[], device: string): readonly HeardMessage[] {
  return device === '' ? messages : messages.filter(({ verdict }) => verdict.device === device);
}

/** What became of a message, in a word or two. */
export function outcomeWords({ outcome, code }: HeardVerdict): string {
  if (outcome === 'refused') return `rejected: ${code}`;
  return {
    stored: 'stored',
    status: 'status',
    other: 'not read',
    unkept: 'not kept',
    waiting: 'device not accepted yet',
  }[outcome];
}

/** `12 messages, 2 of them refused` */
export function countWords(messages: readonly HeardMessage[]): string {
  const refused = messages.filter(({ verdict }) => verdict.outcome === 'refused').length;
  const all = `${messages.length} ${messages.length === 1 ? 'message' : 'messages'}`;
  if (refused === 0) return `${all}, none rejected`;
  return messages.length === 1 ? `${all}, rejected` : `${all}, ${refused} of them rejected`;
}

/** A payload's start with a mark where it goes on. */
export function payloadText({ start, whole }: Pick<HeardMessage, 'start' | 'whole'>): string {
  if (start === '') return '(nothing)';
  return whole ? start : `${start} …`;
}
