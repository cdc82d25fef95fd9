import { expect, test } from 'vitest';
import { pointerOf, pointerTokens, valueAtPointer } from '../../../shared/json-pointer.ts';

/** The document of RFC 6901 section 5, and what its table says each pointer evaluates to; exact. */
const DOCUMENT = {
  foo: ['bar', 'baz'],
  '': 0,
  'a/b': 1,
  'c%d': 2,
  'e^f': 3,
  'g|h': 4,
  'i\\j': 5,
  'k"l': 6,
  ' ': 7,
  'm~n': 8,
};

test.each([
  ['', DOCUMENT],
  ['/foo', ['bar', 'baz']],
  ['/foo/0', 'bar'],
  ['/', 0],
  ['/a~1b', 1],
  ['/c%d', 2],
  ['/e^f', 3],
  ['/g|h', 4],
  ['/i\\j', 5],
  ['/k"l', 6],
  ['/ ', 7],
  ['/m~0n', 8],
])('RFC 6901 section 5: the pointer "%s" evaluates to %j', (pointer, value) => {
  expect(valueAtPointer(DOCUMENT, pointer)).toEqual({ found: true, value });
});

// section 4: ~1 is replaced before ~0, so that ~01 becomes ~1 and not /
test('"~01" names the member "~1", not "/"', () => {
  expect(valueAtPointer({ '~1': 'right', '/': 'wrong' }, '/~01')).toEqual({ found: true, value: 'right' });
});

test.each(['foo', ' ', '/a~', '/a~2', '/~', '#/foo'])('"%s" is no pointer (section 3)', (pointer) => {
  expect(pointerTokens(pointer)).toBeNull();
  expect(valueAtPointer(DOCUMENT, pointer)).toEqual({ found: false });
});

// section 4: digits without leading zeros; "-" is the nonexistent element after the last
test.each([
  '/foo/00',
  '/foo/01',
  '/foo/-',
  '/foo/2',
  '/foo/-1',
  '/foo/1e0',
  '/foo/length',
  '/foo/',
  '/foo/ 1',
])('in an array of 2 "%s" leads nowhere', (pointer) => {
  expect(valueAtPointer(DOCUMENT, pointer)).toEqual({ found: false });
});

test.each(['/toString', '/__proto__', '/constructor', '/foo/0/length', '/a~1b/0', '/none/0'])(
  '"%s" leads nowhere: only members of the message count',
  (pointer) => {
    expect(valueAtPointer(DOCUMENT, pointer)).toEqual({ found: false });
  },
);

test('pointers made of names with / and ~ lead back to them', () => {
  const tokens = ['a/b', 'm~n', '~1', '', 0];
  expect(pointerOf(tokens)).toBe('/a~1b/m~0n/~01//0');
  expect(pointerTokens('/a~1b/m~0n/~01//0')).toEqual(['a/b', 'm~n', '~1', '', '0']);
});
