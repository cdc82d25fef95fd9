import { describe, expect, test } from 'vitest';
import { newAlarm, withAcknowledgement } from '../../../../../server/domain/alarms/record.ts';
import {
  silenceOf,
  type WatchedProbe,
  withSilence,
  withSilentProbes,
} from '../../../../../server/domain/alarms/silence.ts';
import { silenceLimitMs } from '../../../../../server/domain/present/latest-readings.ts';

const MINUTE_MS = 60_000;
const fresh = newAlarm({ placeId: 'bench-1', rule: 'no-data' });
const freshProbes = newAlarm({ placeId: 'bench-1', rule: 'probe-silent' });

function probe(name: string, given: Partial<WatchedProbe> = {}): WatchedProbe {
  return { name, quantity: name, lastMs: 0, cadenceMs: MINUTE_MS, runFromMs: -60 * MINUTE_MS, ...given };
}
const air = probe('air/temperature');

function watched(minutes: number, probes: readonly WatchedProbe[], { startedMs = 0, record = fresh } = {}) {
  const nowMs = minutes * MINUTE_MS;
  return withSilence(record, silenceOf({ probes, nowMs, startedMs }), nowMs);
}

const NOT_BLIND = { blind: [], matters: null } as const;

function probesWatched(
  minutes: number,
  probes: readonly WatchedProbe[],
  { startedMs = 0, record = freshProbes } = {},
) {
  const nowMs = minutes * MINUTE_MS;
  const blindness = () => ({ ...NOT_BLIND, blind: [] });
  return withSilentProbes(record, silenceOf({ probes, nowMs, startedMs }), { nowMs, blindness });
}

const at = (minutes: number) => ({ lastMs: minutes * MINUTE_MS });

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
      expect(watched(limitMin, probes).transition).toBeNull();
      const step = watched(limitMin + 1 / MINUTE_MS, probes);
      expect(step).toMatchObject({ transition: 'raised', record: { raisedAtMs: limitMs + 1 } });
      expect(step.record.facts).toEqual({
        kind: 'no-data',
        silent: [{ probe: 'air/temperature', lastMs: 0 }],
        wholePlace: true,
      });
    },
  );
});

describe('a probe that stops while others go on', () => {
  test('is an alarm of its own, and the place is not silent', () => {
    const probes = [air, probe('root/temperature/2', at(6))];
    expect(watched(6, probes).transition).toBeNull();
    const step = probesWatched(6, probes);
    expect(step.transition).toBe('raised');
    expect(step.record.facts).toMatchObject({ wholePlace: false, silent: [{ probe: 'air/temperature' }] });
  });

  test.each(['light/ppfd', 'air/humidity', 'leaf/temperature', 'battery/level', 'outside/temperature'])(
    'may be any: %s',
    (name) => {
      expect(probesWatched(60, [probe(name), { ...air, ...at(60) }]).transition).toBe('raised');
    },
  );

  test('is over when all of them report again, not when 1 of 2 does', () => {
    const others = [probe('air/humidity', at(6))];
    const { record } = probesWatched(6, [air, probe('root/temperature'), ...others]);
    expect(record.facts).toMatchObject({ silent: [{}, {}] });
    const one = probesWatched(
      7,
      [{ ...air, ...at(7) }, probe('root/temperature'), probe('air/humidity', at(7))],
      {
        record,
      },
    );
    expect(one.transition).toBeNull();
    expect(one.record.facts).toMatchObject({ silent: [{ probe: 'root/temperature' }] });
    const latest = ['air/temperature', 'root/temperature', 'air/humidity'].map((name) => probe(name, at(8)));
    const all = probesWatched(8, latest, { record: one.record });
    expect(all).toMatchObject({ transition: 'returned', record: { returnedAtMs: 8 * MINUTE_MS } });
  });

  test('is not announced alone where another of its device is about to stop too', () => {
    const second = probe('air/humidity', { lastMs: 2_000 });
    const other = probe('root/temperature', at(5));
    expect(probesWatched(5 + 1 / 60, [air, second, other]).transition).toBeNull();
    expect(probesWatched(5 + 3 / 60, [air, second, other]).record.facts).toMatchObject({ silent: [{}, {}] });
  });

  test('is no news of its own once the whole place is silent', () => {
    const stood = probesWatched(6, [air, probe('root/temperature', at(6))]).record;
    const later = [air, probe('root/temperature', at(6))];
    expect(probesWatched(20, later, { record: stood })).toEqual({ record: stood, transition: null });
    expect(watched(20, later).transition).toBe('raised');
  });

  test('whose mist valve is asked for from dawn at 50 min on is silent 5 min later', () => {
    const valve = probe('mist/valve', { askedFromMs: 50 * MINUTE_MS });
    const raisedAt = (minutes: number) =>
      probesWatched(minutes, [valve, { ...air, ...at(minutes) }]).transition;
    expect([raisedAt(55), raisedAt(55.1)]).toEqual([null, 'raised']);
  });
});

describe('a place of which nothing is received', () => {
  test('is one silence, although its probes stopped seconds apart', () => {
    const probes = [
      air,
      probe('air/humidity', { lastMs: 1_000 }),
      probe('root/temperature', { lastMs: 2_000 }),
    ];
    for (let second = 300; second < 330; second++) {
      const minutes = second / 60;
      expect(probesWatched(minutes, probes).transition).toBeNull();
    }
    expect(watched(5.5, probes).record.facts).toMatchObject({ wholePlace: true });
  });

  test('has a light probe only: that one counts', () => {
    expect(watched(6, [probe('light/ppfd')]).transition).toBe('raised');
  });

  test('does not wait for its battery, which reports once an hour', () => {
    const battery = probe('battery/level', { cadenceMs: 60 * MINUTE_MS, lastMs: -10 * MINUTE_MS });
    expect(watched(6, [air, battery]).record.facts).toMatchObject({ wholePlace: true });
  });

  test('has come back when all report again; one that does not has an alarm of its own five minutes later', () => {
    const { record } = watched(6, [air, probe('root/temperature')]);
    const back = { ...at(30), runFromMs: 30 * MINUTE_MS };
    const one = [{ ...air, ...back }, probe('root/temperature')];
    expect(watched(30, one, { record }).transition).toBeNull();
    expect(probesWatched(30, one).transition).toBeNull();
    const both = [{ ...air, ...back }, probe('root/temperature', back)];
    expect(watched(30.1, both, { record }).transition).toBe('returned');
    const later = [{ ...air, ...back, lastMs: 35 * MINUTE_MS }, probe('root/temperature')];
    expect(watched(35, later, { record }).transition).toBe('returned');
    expect(probesWatched(35, later).transition).toBe('raised');
  });
});

describe('after a restart at 60 min', () => {
  const restarted = { startedMs: 60 * MINUTE_MS };

  test('a probe that last reported at 0 min is given 5 min from the start before it is silent', () => {
    expect(watched(65, [air], restarted).transition).toBeNull();
    expect(watched(65.1, [air], restarted).transition).toBe('raised');
  });

  test('an alarm that was active stays active, acknowledged or not, while nothing is known', () => {
    const stood = watched(6, [air]).record;
    const seen = withAcknowledgement(stood, { atMs: 7 * MINUTE_MS }).record;
    for (const record of [stood, seen]) {
      expect(watched(61, [air], { ...restarted, record })).toEqual({ record, transition: null });
      expect(watched(66, [air], { ...restarted, record }).record.state).toBe(record.state);
    }
  });

  test('it returns as soon as the probe reports again', () => {
    const record = watched(6, [air]).record;
    const latest = [{ ...air, lastMs: 61 * MINUTE_MS }];
    expect(watched(61, latest, { ...restarted, record }).transition).toBe('returned');
  });
});
