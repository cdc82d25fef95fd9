import { describe, expect, test } from 'vitest';
import type { Alarm, AlarmFacts } from '../../../../shared/model/alarms/alarm.ts';
import type { CeilingFacts } from '../../../../shared/rules/facts.ts';
import { alarmSentence, alarmWords, type Reader } from '../../../../shared/words/alarm.ts';

const at = (text: string) => Date.parse(text);
const NOON_MS = at('2026-06-01T12:00Z');
const celsius: Reader = { unit: 'C', timeZone: 'UTC', nowMs: NOON_MS };
const fahrenheit: Reader = { ...celsius, unit: 'F' };

/** 28.9 °C against 26.7 °C: 2.2 K over, since 11:45, the highest 30 °C. */
const FACTS: CeilingFacts = {
  kind: 'air-over-ceiling',
  valueC: 28.9,
  ceilingC: 26.7,
  peakC: 30,
  sinceMs: at('2026-06-01T11:45Z'),
  atMs: at('2026-06-01T11:59Z'),
  slopeKPerMin: null,
};

function alarm(given: Partial<Alarm> = {}): Alarm {
  return {
    id: 'b.air-over-ceiling',
    placeId: 'b',
    placeName: 'Bench 1',
    rule: 'air-over-ceiling',
    priority: 'high',
    state: 'unacknowledged',
    raisedAtMs: at('2026-06-01T11:46Z'),
    facts: FACTS,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    suppression: 'none',
    suppressedReason: null,
    shelvedUntilMs: null,
    shelvedReason: null,
    ...given,
  };
}
const ceiling = (given: Partial<CeilingFacts>) => alarm({ facts: { ...FACTS, ...given } });

describe('air over its ceiling', () => {
  test('in °C: 28.9 °C is 2.2 above 26.7 °C, for 15 min', () => {
    expect(alarmWords(alarm(), celsius)).toEqual({
      headline: 'Bench 1: air 28.9 °C, 2.2 °C above its ceiling for 15 min.',
      detail:
        'Limit 26.7 °C; highest 30.0 °C since 11:45. Usually the sun has come on it. Cuttings without roots wilt, then cook: minutes to two hours.',
      action: 'Shade it first, then open vents and any cover.',
    });
  });

  test('in °F: 84.0 °F is 4.0 above 80.1 °F, without the 32 of the scale', () => {
    // by hand: 28.9 × 9/5 + 32 = 84.02; 26.7 × 9/5 + 32 = 80.06; a difference of 2.2 K × 9/5 = 3.96; 30 °C = 86 °F
    const { headline, detail } = alarmWords(alarm(), fahrenheit);
    expect(headline).toBe('Bench 1: air 84.0 °F, 4.0 °F above its ceiling for 15 min.');
    expect(detail).toContain('Limit 80.1 °F; highest 86.0 °F');
  });

  test.each([
    ['C', 0.5, ', rising 0.5 °C a minute.'],
    ['F', 0.5, ', rising 0.9 °F a minute.'],
    ['C', -1, ', falling 1.0 °C a minute.'],
    ['F', -1, ', falling 1.8 °F a minute.'],
    ['C', 0.049, ' for 15 min.'],
    ['C', null, ' for 15 min.'],
  ] as const)('in °%s a slope of %s K/min reads "%s"', (unit, slopeKPerMin, end) => {
    const { headline } = alarmWords(ceiling({ slopeKPerMin }), { ...celsius, unit });
    expect(headline.slice(-end.length)).toBe(end);
  });

  test.each([
    [5, ' for 19 min, rising 0.3 °C a minute.'],
    [6, ' for 20 min.'],
  ])(
    'a slope is said %d min after its last reading as "%s": nobody knows which way it goes by now',
    (min, end) => {
      const nowMs = at('2026-06-01T11:59Z') + min * 60_000;
      const { headline } = alarmWords(ceiling({ slopeKPerMin: 0.3 }), { ...celsius, nowMs });
      expect(headline.slice(-end.length)).toBe(end);
    },
  );

  test('of a probe that reported last 16 min ago, it says of when its value is', () => {
    const nowMs = at('2026-06-01T12:15Z');
    expect(alarmWords(ceiling({ slopeKPerMin: 0.3 }), { ...celsius, nowMs }).headline).toBe(
      'Bench 1: air 28.9 °C at the last reading (11:59), 2.2 °C above its ceiling for 30 min.',
    );
  });

  test.each([
    ['C', '26.4 °C, back within its limit by 0.3 °C'],
    ['F', '79.5 °F, back within its limit by 0.5 °F'],
  ] as const)(
    'in °%s air inside the deadband or the off-delay is "%s" while the alarm is active, never a negative number above',
    (unit, words) => {
      // by hand: 26.4 × 9/5 + 32 = 79.52; 0.3 K × 9/5 = 0.54
      expect(alarmWords(ceiling({ valueC: 26.4 }), { ...celsius, unit }).headline).toBe(
        `Bench 1: air ${words}; the alarm clears once it stays there.`,
      );
    },
  );

  test('air 5.2 below its ceiling, falling 1 a minute while the alarm is active, is over no more, and nobody is told to open the cover', () => {
    const words = alarmWords(ceiling({ valueC: 21.5, slopeKPerMin: -1 }), celsius);
    expect(words).toEqual({
      headline:
        'Bench 1: air 21.5 °C, back within its limit by 5.2 °C, falling 1.0 °C a minute; the alarm clears once it stays there.',
      detail: 'Limit 26.7 °C; highest 30.0 °C since 11:45.',
      action: 'Look at the leaves: limp ones need mist and shade.',
    });
  });

  test('at exactly its ceiling it is 0.0 below', () => {
    expect(alarmWords(ceiling({ valueC: 26.7 }), celsius).headline).toContain(
      '26.7 °C, just back within its limit',
    );
  });

  test.each(['normal', 'returned-unacknowledged'] as const)(
    '%s, it says the highest 30 °C and from when to when',
    (state) => {
      const words = alarmWords(alarm({ state, returnedAtMs: at('2026-06-01T11:58Z') }), celsius);
      expect(words).toEqual({
        headline: 'Bench 1: air is back below its ceiling.',
        detail: 'Above its limit of 26.7 °C from 11:45 to 11:58; highest 30.0 °C.',
        action: 'Look at the leaves: limp ones need mist and shade.',
      });
    },
  );

  test('a peak 12 h ago carries its day when that is not today', () => {
    const words = alarmWords(ceiling({ sinceMs: at('2026-05-31T23:30Z') }), celsius);
    expect(words.detail).toContain('since 23:30 on Sun 31 May');
  });
});

describe('no data', () => {
  const silent = [
    { probe: 'air/temperature', lastMs: at('2026-06-01T02:20Z') },
    { probe: 'root/temperature', lastMs: at('2026-06-01T02:15Z') },
  ];
  const quiet = (given: Partial<Alarm>, wholePlace = true) =>
    alarm({ rule: 'no-data', facts: { kind: 'no-data', silent, wholePlace }, ...given });

  test('of the whole place says since the last word of any, 9 h 40 min ago', () => {
    expect(alarmWords(quiet({}), celsius)).toEqual({
      headline: 'Bench 1: no readings since 02:20.',
      detail:
        'No readings for 9 h 40 min; this place is not being monitored. Usually power, battery or network.',
      action: 'Look at the cuttings, then at the sensor, its power and the network.',
    });
  });

  test('of 2 probes among others names the 2', () => {
    expect(alarmWords(quiet({}, false), celsius).headline).toBe(
      'Bench 1: no readings from air/temperature, root/temperature since 02:20.',
    );
  });

  test('over, says since when readings come again', () => {
    const words = alarmWords(quiet({ state: 'normal', returnedAtMs: at('2026-06-01T11:00Z') }), celsius);
    expect(words).toEqual({
      headline: 'Bench 1: readings resumed at 11:00.',
      detail: '',
      action: '',
    });
  });
});

describe('a probe that does not report', () => {
  const silent = [{ probe: 'air/temperature', lastMs: at('2026-06-01T02:20Z') }];
  const of = (facts: object, given: Partial<Alarm> = {}) =>
    alarm({
      rule: 'probe-silent',
      facts: { kind: 'no-data', silent, wholePlace: false, blind: [], matters: null, ...facts },
      ...given,
    });

  test('without which nothing measures the heat says so, and what is not judged', () => {
    expect(
      alarmWords(of({ blind: ['air-over-ceiling', 'air-far-too-cold'], matters: 'heat' }), celsius),
    ).toEqual({
      headline: 'Bench 1: air/temperature not reporting since 02:20; nothing else measures the heat there.',
      detail:
        'Not judged meanwhile: air over its ceiling and air far too cold. Usually its plug, its cable or its battery.',
      action: 'Look at the cuttings, then at the probe, its plug and its battery.',
    });
  });

  test.each([
    ['near-ceiling', celsius, 'the air was within 2.0 °C of its ceiling'],
    ['near-ceiling', { ...celsius, unit: 'F' as const }, 'the air was within 3.6 °F of its ceiling'],
    ['mist', celsius, 'mist cannot be judged, and there is light'],
  ])('matters for %s', (matters, reader, ending) => {
    expect(alarmWords(of({ matters }), reader).headline).toContain(`; ${ending}.`);
  });

  test('on which nothing rests says so', () => {
    expect(alarmWords(of({}), celsius).detail).toMatch(/^No alarm rests on it\./);
  });

  test('is back', () => {
    const back = { state: 'normal', returnedAtMs: at('2026-06-01T11:00Z') } as const;
    expect(alarmWords(of({}, back), celsius).headline).toBe(
      'Bench 1: air/temperature reporting again at 11:00.',
    );
  });
});

test('an alarm that was announced to nobody yet is named by its state, and its sentence has 1 part', () => {
  const never = alarm({ state: 'normal', raisedAtMs: null, facts: null });
  expect(alarmSentence(never, celsius)).toBe('Bench 1: normal');
});

test('the sentence of a message has the 3 parts in 1 line', () => {
  expect(alarmSentence(alarm(), celsius)).toBe(
    'Bench 1: air 28.9 °C, 2.2 °C above its ceiling for 15 min. ' +
      'Limit 26.7 °C; highest 30.0 °C since 11:45. Usually the sun has come on it. Cuttings without roots wilt, then cook: minutes to two hours. ' +
      'Shade it first, then open vents and any cover.',
  );
});

test('a weekly test that 2 people did not confirm names whom and by which way, what became of it, and what to do', () => {
  const facts: AlarmFacts = {
    kind: 'test-unconfirmed',
    tests: [
      { who: 'Robin over e-mail', putMs: at('2026-06-01T10:00Z'), error: null },
      { who: 'Sam over webhook', putMs: at('2026-06-01T10:00Z'), error: 'the receiver answered 500' },
    ],
  };
  const of = alarm({ placeId: null, placeName: 'System', rule: 'test-unconfirmed', facts });
  const { headline, detail, action } = alarmWords(of, celsius);
  expect(headline).toBe(
    'System: the weekly test was not confirmed by Robin over e-mail and Sam over webhook.',
  );
  expect(detail).toContain('Robin over e-mail: sent at 10:00, delivered, not confirmed; Sam over webhook');
  expect(detail).toContain('not delivered: the receiver answered 500.');
  expect(action).toContain('Ask whether the test arrived');
  expect(alarmWords({ ...of, state: 'normal' }, celsius).headline).toContain('the weekly test is confirmed');
});
