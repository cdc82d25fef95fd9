import { expect, test } from 'vitest';
import { createPagePace } from '../../../../../server/daemon/publish/page-pace.ts';
import { clockByHand } from '../../support/hand.ts';

/** What goes out, and when, ms after the start. */
function paced() {
  const hand = clockByHand(0);
  const sent: [number, string][] = [];
  const send = (placeIds: readonly string[]) => void sent.push([hand.clock.nowMs(), placeIds.join()]);
  return { hand, sent, pace: createPagePace({ timers: hand.timers, send }) };
}

test('the first report goes out at once, those within the next 40 ms together at their end', () => {
  const { hand, sent, pace } = paced();
  pace.reporting(['a']);
  expect(sent).toEqual([]);
  hand.settle();
  hand.pass(10);
  pace.reporting(['b', 'a']);
  hand.pass(10);
  pace.reporting(['b']);
  hand.pass(100);
  pace.reporting(['c']);
  hand.settle();
  expect(sent).toEqual([
    [0, 'a'],
    [40, 'b,a'],
    [120, 'c'],
  ]);
});

test('a place whose alarm changed with its report does not wait, and is not sent a second time for it', () => {
  const { hand, sent, pace } = paced();
  pace.reporting(['a']);
  hand.settle();
  hand.pass(5);
  pace.reporting(['b', 'c']);
  pace.changed('b');
  pace.changed('unseen');
  hand.settle();
  hand.pass(100);
  expect(sent).toEqual([
    [0, 'a'],
    [5, 'b'],
    [40, 'c'],
  ]);
});

test('of 120 places that report together 50 go out a turn', () => {
  const { hand, sent, pace } = paced();
  pace.reporting(Array.from({ length: 120 }, (_, i) => `p${i}`));
  hand.settle();
  hand.pass(200);
  expect(sent.map(([atMs, ids]) => [atMs, ids.split(',').length])).toEqual([
    [0, 50],
    [40, 50],
    [80, 20],
  ]);
});

test('nothing goes out once it was stopped, and no timer is left', () => {
  const { hand, sent, pace } = paced();
  pace.reporting(['a']);
  hand.settle();
  pace.reporting(['b']);
  pace.stop();
  pace.reporting(['c']);
  hand.pass(1_000);
  expect(sent).toEqual([[0, 'a']]);
});
