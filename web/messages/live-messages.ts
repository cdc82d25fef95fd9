import type {
  MessageVerdict,
  ReceivedMessage,
  WatchAnswer,
} from '../../shared/wire/probes/foreign-messages.ts';

/** Most messages the page shows. */
const MOST_SHOWN = 200;

/** What the page shows of what was received, newest first. */
export type Shown = {
  readonly messages: readonly ReceivedMessage[];
  readonly last: number;
  /** whether some between were not kept */
  readonly gap: boolean;
};

export const NOTHING_SHOWN: Shown = { messages: [], last: 0, gap: false };

/** What is shown after an answer. */
export function withMessages(shown: Shown, { messages, last, gap }: WatchAnswer): Shown {
  const known = new Set(shown.messages.map(({ id }) => id));
  const fresh = messages.filter(({ id }) => !known.has(id));
  const all = [...fresh, ...shown.messages].sort((a, b) => b.id - a.id).slice(0, MOST_SHOWN);
  return { messages: all, last, gap: shown.gap || gap };
}

/** The devices whose messages were received, by name. */
export function devicesOf(messages: readonly ReceivedMessage[]): string[] {
  const names = messages.flatMap(({ verdict }) => verdict.device ?? []);
  return [...new Set(names)].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
}

/** Those of one device, or all. */
export function ofDevice(messages: readonly ReceivedMessage[], device: string): readonly ReceivedMessage[] {
  return device === '' ? messages : messages.filter(({ verdict }) => verdict.device === device);
}

/** What became of a message, in a word or two. */
export function outcomeWords({ outcome, code }: MessageVerdict): string {
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
export function countWords(messages: readonly ReceivedMessage[]): string {
  const refused = messages.filter(({ verdict }) => verdict.outcome === 'refused').length;
  const all = `${messages.length} ${messages.length === 1 ? 'message' : 'messages'}`;
  if (refused === 0) return `${all}, none rejected`;
  return messages.length === 1 ? `${all}, rejected` : `${all}, ${refused} of them rejected`;
}

/** A payload's start with a mark where it goes on. */
export function payloadText({ start, whole }: Pick<ReceivedMessage, 'start' | 'whole'>): string {
  if (start === '') return '(nothing)';
  return whole ? start : `${start} …`;
}
