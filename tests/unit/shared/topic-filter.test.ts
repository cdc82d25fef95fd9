import { expect, test } from 'vitest';
import { filtersOverlap, foreignFilterFault, topicFits } from '../../../shared/topic-filter.ts';

/** Examples of MQTT 5.0 sections 4.7.1.2 (#) and 4.7.1.3 (+), valid and not; exact. */
test.each([
  'sport/tennis/#',
  'sport/tennis/player1/#',
  '+',
  '+/tennis/#',
  'sport/+/player1',
  '/+',
  '/',
  '/finance',
  'sport/',
])('MQTT 5.0 section 4.7: "%s" is a filter', (filter) => {
  expect(foreignFilterFault(filter)).toBeNull();
});

test('MQTT 5.0 section 4.7: "#" is a filter, which takes in the topics of the contract', () => {
  expect(foreignFilterFault('#')).toContain('takes in the topics of strikewell/1/');
});

test.each([
  ['sport/tennis#', 'beside other characters'],
  ['sport/tennis/#/ranking', 'before its end'],
  ['sport+', 'beside other characters'],
  ['', 'is empty'],
  ['a\0b', 'no topic may hold'],
  ['\ud800', 'no topic may hold'],
  ['a'.repeat(65_536), 'longer than 65535 bytes'],
])('MQTT 5.0 section 4.7: "%s" is none: it %s', (filter, words) => {
  expect(foreignFilterFault(filter)).toContain(words);
});

test.each([
  ['sport/tennis/player1/#', 'sport/tennis/player1', true],
  ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
  ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', true],
  ['sport/#', 'sport', true],
  ['sport/tennis/+', 'sport/tennis/player1', true],
  ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
  ['sport/+', 'sport', false],
  ['sport/+', 'sport/', true],
  ['+/+', '/finance', true],
  ['/+', '/finance', true],
  ['+', '/finance', false],
  ['#', '$SYS/uptime', false],
  ['+/monitor/Clients', '$SYS/monitor/Clients', false],
  ['$SYS/#', '$SYS/uptime', true],
  ['ACCOUNTS', 'Accounts', false],
])('MQTT 5.0 sections 4.7.1 to 4.7.3: whether "%s" takes "%s" is %s', (filter, topic, fits) => {
  expect(topicFits(filter, topic)).toBe(fits);
});

test.each([
  ['strikewell/1/sill/readings'],
  ['strikewell/1/#'],
  ['strikewell/#'],
  ['#'],
  ['+/1/#'],
  ['+/+/+/readings'],
  ['$SYS/#'],
  ['$share/group/house/#'],
])('"%s" cannot be mapped', (filter) => {
  expect(foreignFilterFault(filter)).not.toBeNull();
});

test.each([['house/#'], ['+/climate'], ['strikewell/2/#'], ['+/+'], ['/strikewell/1/x']])(
  '"%s" can be mapped',
  (filter) => {
    expect(foreignFilterFault(filter)).toBeNull();
  },
);

test.each([
  ['house/+/climate', 'house/3/climate', true],
  ['house/#', 'house', true],
  ['house/+', 'house', false],
  ['+/a', 'b/+', true],
  ['a/b', 'a/c', false],
])('whether "%s" and "%s" share a topic is %s, whichever comes first', (one, other, shared) => {
  expect([filtersOverlap(one, other), filtersOverlap(other, one)]).toEqual([shared, shared]);
});
