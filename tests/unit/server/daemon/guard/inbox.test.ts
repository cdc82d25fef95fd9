import { describe, expect, test } from 'vitest';
import { createInbox, MAX_MESSAGES_A_TURN, MAX_WAITING } from '../../../../../server/daemon/guard/inbox.ts';
import type { RawMessage } from '../../../../../server/ports.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { clockByHand } from '../../support/hand.ts';
import { START_MS } from '../../support/house.ts';

const message = (k: number): RawMessage => ({
  topic: String(k),
  payload: new Uint8Array(),
  arrivedAtMs: START_MS,
  retainedCopy: false,
});

const FULL = new Fault({ code: 'store-failed', message: 'the disk is full' });

type Failing = {
  /** a group with one of these fails as on a full disk */
  readonly refused?: readonly number[];
  /** a group with one of these fails by what is in it */
  readonly poisonous?: readonly number[];
  /** these cannot be set aside either */
  readonly unkept?: readonly number[];
};

/** An inbox whose groups, and what is set aside, are noted. */
function inboxNoting({ refused = [], poisonous = [], unkept = [] }: Failing = {}) {
  const hand = clockByHand(START_MS);
  const groups: number[][] = [];
  const aside: string[] = [];
  const answers: string[] = [];
  const take = (group: readonly RawMessage[]) => {
    const numbers = group.map(({ topic }) => Number(topic));
    groups.push(numbers);
    if (numbers.some((number) => refused.includes(number))) throw FULL;
    if (numbers.some((number) => poisonous.includes(number))) throw new RangeError('a fraction');
  };
  const setAside = ({ topic }: RawMessage, cause: unknown) => {
    if (unkept.includes(Number(topic))) throw FULL;
    aside.push(`${topic}: ${cause instanceof Error ? cause.message : ''}`);
  };
  const inbox = createInbox({ take, setAside }, hand.timers);
  const offer = (k: number) =>
    inbox.offer(message(k)).then(
      () => void answers.push(`${k} taken`),
      (cause: unknown) => void answers.push(`${k} refused: ${cause instanceof Error ? cause.message : ''}`),
    );
  return { hand, groups, aside, answers, offer };
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

  test('takes a group of 11 of which 1 fails by itself again one by one, and sets that one aside', async () => {
    const { hand, groups, aside, answers, offer } = inboxNoting({ poisonous: [4] });
    const all = Promise.all(upTo(11).map(offer));
    hand.settle();
    await all;
    expect(groups).toEqual([upTo(11), ...upTo(11).map((k) => [k])]);
    expect(aside).toEqual(['4: a fraction']);
    expect(answers).toEqual(upTo(11).map((k) => `${k} taken`));
  });

  test('lets other turns run between messages that are tried one by one, and takes what came meanwhile after them', async () => {
    const { hand, groups, offer } = inboxNoting({ poisonous: [1] });
    const first = upTo(3).map(offer);
    let turns = 0;
    hand.timers.soon(() => {
      turns = groups.length;
      void offer(3);
    });
    hand.settle();
    await Promise.all(first);
    expect(turns).toBe(1);
    expect(groups).toEqual([[0, 1, 2], [0], [1], [2], [3]]);
  });

  test('refuses unacknowledged a message that fails by itself and cannot be set aside, and no other', async () => {
    const { hand, answers, aside, offer } = inboxNoting({ poisonous: [1, 2], unkept: [1] });
    const all = Promise.all(upTo(4).map(offer));
    hand.settle();
    await all;
    expect(answers).toEqual(['0 taken', '1 refused: the disk is full', '2 taken', '3 taken']);
    expect(aside).toEqual(['2: a fraction']);
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
