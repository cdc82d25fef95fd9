import { expect, test } from 'vitest';
import { keptText, readKept } from '../../../../../server/domain/topics/kept.ts';
import { noteUnread, type UnreadBook, unreadInOrder } from '../../../../../server/domain/topics/unread.ts';

const sent = (topic: string, atMs: number, payload = '{}') => ({
  topic,
  payload: Buffer.from(payload),
  atMs,
  clientId: 'w1',
  device: null,
  address: '192.0.2.7',
});

test('of 500 topics the newest 100 are listed, misspelt ones before all, and 400 are counted as left out', () => {
  let book: UnreadBook = new Map();
  let leftOut = 0;
  const note = (topic: string, atMs: number) => {
    const noted = noteUnread(book, sent(topic, atMs), 100);
    book = noted.book;
    leftOut += noted.leftOut;
  };
  note('strikewell/1/w1/reading', 1);
  for (let n = 2; n <= 500; n++) note(`other/${n}`, n);
  expect(leftOut).toBe(400);
  const topics = unreadInOrder(book).map(({ topic }) => topic);
  expect(topics).toHaveLength(100);
  expect(topics.slice(0, 2)).toEqual(['strikewell/1/w1/reading', 'other/500']);
});

test('a topic that comes again is counted, with its first and last time and 80 characters of its last payload', () => {
  const first = noteUnread(new Map(), sent('strikewell/1/w1/reading', 0), 100).book;
  const { book } = noteUnread(first, sent('strikewell/1/w1/reading', 60_000, 'A'.repeat(900)), 100);
  expect([...book.values()]).toEqual([
    {
      topic: 'strikewell/1/w1/reading',
      suggestion: 'strikewell/1/w1/readings',
      fault: '"reading" in place of "readings"',
      count: 2,
      firstAt: '1970-01-01T00:00:00.000Z',
      lastAt: '1970-01-01T00:01:00.000Z',
      clientId: 'w1',
      device: null,
      address: '192.0.2.7',
      bytes: 900,
      start: 'A'.repeat(80),
    },
  ]);
});

test('what steers a terminal is not kept of a topic, and a note that was damaged is read as far as it makes sense', () => {
  const { book } = noteUnread(new Map(), sent('strikewell/1/\u001b[2J/reading', 0), 100);
  const topics = unreadInOrder(book);
  expect(topics[0]?.topic).toBe('strikewell/1/?[2J/reading');
  const text = keptText(topics);
  expect(readKept(text)).toMatchObject([{ topic: 'strikewell/1/?[2J/reading', count: 1 }]);
  expect(readKept(text.replace('[{', '[7,null,{"topic":1},{'))).toHaveLength(1);
  expect([readKept('{'), readKept(null), readKept('A'.repeat(100_001))]).toEqual([[], [], []]);
});
