import { expect, test } from 'vitest';
import {
  alarmTopic,
  HEARTBEAT_TOPIC,
  parseDeviceTopic,
  placeNowTopic,
  readingsTopic,
  statusTopic,
} from '../../../firmware-contracts/v1/topics.ts';

// Topics as in the outside interface, version 1.
test('the 5 topics are spelled as the outside interface spells them', () => {
  expect(readingsTopic('bench-1')).toBe('strikewell/1/bench-1/readings');
  expect(statusTopic('bench-1')).toBe('strikewell/1/bench-1/status');
  expect(HEARTBEAT_TOPIC).toBe('strikewell/1/watch/heartbeat');
  expect(placeNowTopic('bench-1')).toBe('strikewell/1/places/bench-1/now');
  expect(alarmTopic('17')).toBe('strikewell/1/alarms/17');
});

test('a device name of 64 characters from A-Z a-z 0-9 - _ . is read from both its topics', () => {
  const device = `${'aZ09-_.'.repeat(9)}x`;
  expect(device).toHaveLength(64);
  expect(parseDeviceTopic(readingsTopic(device))).toEqual({ device, kind: 'readings' });
  expect(parseDeviceTopic(statusTopic(device))).toEqual({ device, kind: 'status' });
});

test.each([
  ['a device name of 65 characters', `strikewell/1/${'a'.repeat(65)}/readings`],
  ['an empty device name', 'strikewell/1//readings'],
  ['a device name with a space', 'strikewell/1/bench 1/readings'],
  ['a device name with ü', 'strikewell/1/bürgle/readings'],
  ['the device name ., which an address of a page swallows', 'strikewell/1/./readings'],
  ['the device name ..', 'strikewell/1/../readings'],
  ['version 2', 'strikewell/2/bench-1/readings'],
  ['5 levels', 'strikewell/1/bench-1/readings/x'],
  ['another last level', 'strikewell/1/bench-1/commands'],
  ['a line end after the last level', 'strikewell/1/bench-1/readings\n'],
  ['a line end in the device name', 'strikewell/1/bench-1\n/readings'],
  ['the heartbeat', HEARTBEAT_TOPIC],
])('%s is no topic of a device', (_what, topic) => {
  expect(parseDeviceTopic(topic)).toBeNull();
});

test.each(['', 'a/b', '+', '#', 'a\0'])('a topic is not built from the level %j', (level) => {
  expect(() => readingsTopic(level)).toThrow(RangeError);
});
