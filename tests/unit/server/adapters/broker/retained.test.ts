import { expect, test } from 'vitest';
import { createRetainedRoom } from '../../../../../server/adapters/broker/retained.ts';

test('of 4 topics 3 are kept; one that is taken away makes room for another', () => {
  const room = createRetainedRoom({ count: 3, bytes: 1_000 });
  for (const topic of ['a', 'b', 'c']) expect(room.takes({ topic, bytes: 10 })).toBe(true);
  expect(room.takes({ topic: 'd', bytes: 10 })).toBe(false);
  expect(room.takes({ topic: 'c', bytes: 20 })).toBe(true);
  expect(room.takes({ topic: 'c', bytes: 0 })).toBe(true);
  expect(room.takes({ topic: 'd', bytes: 10 })).toBe(true);
});

test('100 bytes take one message of 60, not a second, and the first again with 100', () => {
  const room = createRetainedRoom({ count: 3, bytes: 100 });
  expect(room.takes({ topic: 'a', bytes: 60 })).toBe(true);
  expect(room.takes({ topic: 'b', bytes: 60 })).toBe(false);
  expect(room.takes({ topic: 'a', bytes: 100 })).toBe(true);
  expect(room.takes({ topic: 'a', bytes: 101 })).toBe(false);
});
