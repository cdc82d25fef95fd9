import { describe, expect, test } from 'vitest';
import { createInbox, MAX_MESSAGES_A_TURN, MAX_WAITING } from '../../../../server/daemon/inbox.ts';
import type { RawMessage } from '../../../../server/ports.ts';
import { clockByHand } from '../support/hand.ts';
import { START_MS } from '../support/house.ts';

const message = (k: number): RawMessage => ({
  ...{ topic: String(k), payload: new Uint8Array(), arrivedAtMs: START_MS, retainedCopy: false },
});

/** An inbox whose groups are noted; those that hold a message of `refused` throw. */
function inboxNoting({ refused = [] }: { readonly refused?: readonly number[] } = {}) {
  const hand = clockByHand(START_MS);
  const groups: number[][] = [];
  const answers: string[] = [];
  const take = (group: readonly RawMessage[]) => {
    const numbers = group.map(({ topic }) => Number(topic));
    groups.push(numbers);
    if (numbers.some((number) => refused.includes(number))) throw new Error('the disk is full');
  };
  const inbox = createInbox(take, hand.timers);
  const offer = (k: number) =>
    inbox.offer(message(k)).then(
      () => void answers.push(`${k} taken`),
      (cause: unknown) => void answers.push(`${k} refused: ${cause instanceof Error ? cause.message : ''}`),
    );
  return { hand, groups, answers, offer };
}
const upTo = (count: number) => Array.from({ length: count }, (_, k) => k);

describe('the inbox', () => {
  test('takes 3 messages of one pass of the event loop as 1 group, in the order of arrival', async () => {
    const { hand, groups, answers, offer } = inboxNoting();
    const all = Promise.all(upTo(3).map(offer));
    expect(groups).toEqual([]);
    hand.settle();
    await all;
    expect(groups).toEqual([[0, 1, 2]]);
    expect(answers).toEqual(['0 taken', '1 taken', '2 taken']);
  });

  test(`takes no more than ${MAX_MESSAGES_A_TURN} at once: 450 come in groups of 200, 200 and 50, in order`, async () => {
    const { hand, groups, answers, offer } = inboxNoting();
    const all = Promise.all(upTo(450).map(offer));
    hand.settle();
    await all;
    expect(groups.map((group) => group.length)).toEqual([200, 200, 50]);
    expect(groups.flat()).toEqual(upTo(450));
    expect(answers).toEqual(upTo(450).map((k) => `${k} taken`));
  });

  test('refuses the whole group of 200 that cannot be kept, and takes the next 50', async () => {
    const { hand, answers, offer } = inboxNoting({ refused: [7] });
    const all = Promise.all(upTo(250).map(offer));
    hand.settle();
    await all;
    expect(answers.slice(0, 200)).toEqual(upTo(200).map((k) => `${k} refused: the disk is full`));
    expect(answers.slice(200)).toEqual(
      upTo(250)
        .slice(200)
        .map((k) => `${k} taken`),
    );
  });

  test(`refuses the message that comes when ${MAX_WAITING} wait already, and takes one again when there is room`, async () => {
    const { hand, groups, answers, offer } = inboxNoting();
    const all = upTo(MAX_WAITING).map(offer);
    await offer(MAX_WAITING);
    expect(answers).toEqual([`${MAX_WAITING} refused: ${MAX_WAITING} messages wait already`]);
    hand.settle();
    await Promise.all(all);
    const late = offer(MAX_WAITING + 1);
    hand.settle();
    await late;
    expect(groups.flat()).toEqual([...upTo(MAX_WAITING), MAX_WAITING + 1]);
  });
});
