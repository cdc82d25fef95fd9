import { describe, expect, test } from 'vitest';
import { editDistance } from '../../../../../server/domain/topics/edit-distance.ts';
import { nearestTopic } from '../../../../../server/domain/topics/nearest.ts';

// values of the algorithm's textbook examples: kitten and sitting, a swap of neighbours, nothing
test.each([
  ['kitten', 'sitting', 3],
  ['readings', 'raedings', 1],
  ['', 'status', 6],
  ['status', 'status', 0],
])('from "%s" to "%s" it takes %i steps', (one, other, steps) => {
  expect(editDistance(one, other)).toBe(steps);
  expect(editDistance(other, one)).toBe(steps);
});

describe('the topic that was probably meant', () => {
  test.each([
    ['strikewell/1/w1/reading', 'strikewell/1/w1/readings', '"reading" in place of "readings"'],
    ['Strikewell/1/w1/readings', 'strikewell/1/w1/readings', '"Strikewell" in place of "strikewell"'],
    ['strikewel/1/w1/readings', 'strikewell/1/w1/readings', '"strikewel" in place of "strikewell"'],
    ['strikewell/1/w1/Readings', 'strikewell/1/w1/readings', '"Readings" in place of "readings"'],
    ['strikewell/1/w1/raedings', 'strikewell/1/w1/readings', '"raedings" in place of "readings"'],
    ['strikewell/1/w1/staus', 'strikewell/1/w1/status', '"staus" in place of "status"'],
    ['strikewell/v1/w1/readings', 'strikewell/1/w1/readings', '"v1" in place of the version "1"'],
    ['strikewell/2/w1/readings', 'strikewell/1/w1/readings', '"2" in place of the version "1"'],
    ['strikewell/w1/readings', 'strikewell/1/w1/readings', 'no version "1"'],
    ['/strikewell/1/w1/readings', 'strikewell/1/w1/readings', 'an empty level'],
    ['strikewell/1/w1/readings/', 'strikewell/1/w1/readings', 'an empty level'],
    ['strikewell/1/w1', 'strikewell/1/w1/readings', 'no "readings" at its end'],
    ['strikewell/1/readings', 'strikewell/1/DEVICE/readings', 'no name of a device'],
    ['Strikewell/1/bench one/readings', 'strikewell/1/bench-one/readings', '"bench one" holds characters'],
    ['strikewell/1/Köchlin/data', 'strikewell/1/Kochlin/readings', '"Köchlin" holds characters'],
    ['strikewell/1/w1/root/readings', 'strikewell/1/w1/readings', 'more levels than four'],
  ])('of %s is %s', (topic, suggestion, fault) => {
    const nearest = nearestTopic(topic);
    expect(nearest?.suggestion).toBe(suggestion);
    expect(nearest?.fault).toContain(fault);
  });

  test.each([
    'strikewell/1/w1/readings',
    'strikewell/1/w1/status',
    'strikewell/1/watch/heartbeat',
    'strikewell/1/places/bench/now',
    'strikewell/1/alarms/bench.no-data',
    'workshop/1/lamp/readings',
    'sensors/w1/temperature',
    '$SYS/broker/uptime',
    '',
  ])('of "%s" is none: it is right, or not meant for us', (topic) => {
    expect(nearestTopic(topic)).toBeNull();
  });
});
