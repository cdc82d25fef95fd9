import { describe, expect, test } from 'vitest';
import { newAlarm, withAcknowledgement } from '../../../../../server/domain/alarms/record.ts';
import {
  silenceLimitMs,
  type WatchedProbe,
  withSilence,
} from '../../../../../server/domain/alarms/silence.ts';

const MINUTE_MS = 60_000;
const fresh = newAlarm({ placeId: 'bench-1', rule: 'no-data' });

function probe(name: string, given: Partial<WatchedProbe> = {}): WatchedProbe {
  return { name, quantity: name, lastMs: 0, cadenceMs: MINUTE_MS, ...given };
}
const air = probe('air/temperature');

function watched(minutes: number, probes: readonly WatchedProbe[], { startedMs = 0, record = fresh } = {}) {
  return withSilence(record, { probes, nowMs: minutes * MINUTE_MS, startedMs });
}

test.each([
  [null, 5],
  [1, 5],
  [100 / 60, 5],
  [2, 6],
  [10, 30],
])('a probe delivered every %s min may be silent for %i min', (cadenceMin, limitMin) => {
  // contract of the alarm: the longer of 3 × cadence and 5 min
  const cadenceMs = cadenceMin === null ? null : cadenceMin * MINUTE_MS;
  expect(silenceLimitMs({ cadenceMs })).toBe(limitMin * MINUTE_MS);
});

describe('the moment of silence', () => {
  test.each([
    [1, 5],
    [10, 30],
  ])(
    'a probe delivered every %i min is not silent at exactly %i min, and is 1 ms later',
    (cadenceMin, limitMin) => {
      const probes = [{ ...air, cadenceMs: cadenceMin * MINUTE_MS }];
      const limitMs = limitMin * MINUTE_MS;
      expect(withSilence(fresh, { probes, nowMs: limitMs, startedMs: 0 }).transition).toBeNull();
      const step = withSilence(fresh, { probes, nowMs: limitMs + 1, startedMs: 0 });
      expect(step).toMatchObject({ transition: 'raised', record: { raisedAtMs: limitMs + 1 } });
      expect(step.record.facts).toEqual({
        kind: 'no-data',
        silent: [{ probe: 'air/temperature', lastMs: 0 }],
        wholePlace: true,
      });
    },
  );
});

describe('which probes count', () => {
  test('1 of 2 temperature probes of air and root zone raises it, and it is not the whole place', () => {
    const step = watched(6, [air, probe('root/temperature/2', { lastMs: 5 * MINUTE_MS })]);
    expect(step.transition).toBe('raised');
    expect(step.record.facts).toMatchObject({ wholePlace: false, silent: [{ probe: 'air/temperature' }] });
  });

  test('a silent light probe beside an air probe that tells raises nothing', () => {
    expect(watched(60, [probe('light/ppfd'), { ...air, lastMs: 59 * MINUTE_MS }]).transition).toBeNull();
  });

  test('at a place with a light probe only, that one counts', () => {
    expect(watched(6, [probe('light/ppfd')]).transition).toBe('raised');
  });

  test('it is over when all that count tell again, not when 1 of 2 does', () => {
    const record = watched(6, [air, probe('root/temperature')]).record;
    const one = watched(7, [{ ...air, lastMs: 7 * MINUTE_MS }, probe('root/temperature')], { record });
    expect(one.transition).toBeNull();
    const latest = { lastMs: 8 * MINUTE_MS };
    const both = watched(8, [probe('air/temperature', latest), probe('root/temperature', latest)], {
      record: one.record,
    });
    expect(both).toMatchObject({ transition: 'returned', record: { returnedAtMs: 8 * MINUTE_MS } });
  });
});

describe('after a restart at 60 min', () => {
  const restarted = { startedMs: 60 * MINUTE_MS };

  test('a probe last heard at 0 min is given 5 min from the start before it is silent', () => {
    expect(watched(65, [air], restarted).transition).toBeNull();
    expect(watched(65.1, [air], restarted).transition).toBe('raised');
  });

  test('an alarm that stood goes on standing, acknowledged or not, while nothing is known', () => {
    const stood = watched(6, [air]).record;
    const seen = withAcknowledgement(stood, { atMs: 7 * MINUTE_MS }).record;
    for (const record of [stood, seen]) {
      expect(watched(61, [air], { ...restarted, record })).toEqual({ record, transition: null });
      expect(watched(66, [air], { ...restarted, record }).record.state).toBe(record.state);
    }
  });

  test('it returns as soon as the probe tells again', () => {
    const record = watched(6, [air]).record;
    const latest = [{ ...air, lastMs: 61 * MINUTE_MS }];
    expect(watched(61, latest, { ...restarted, record }).transition).toBe('returned');
  });
});
