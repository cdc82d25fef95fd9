import { describe, expect, test } from 'vitest';
import type { TakenReading } from '../../../../../shared/model/probes/check.ts';
import type { Correction } from '../../../../../shared/model/probes/correction.ts';
import { instructionsOf } from '../../../../../web/probes/checks/check-instructions.ts';
import {
  correctionState,
  criterionWords,
  dueWords,
  lineWords,
  placeCheckWords,
  progressOf,
  resultWords,
  takenWords,
  valueWords,
} from '../../../../../web/probes/checks/check-words.ts';
import { correctionOf } from '../../../../../web/probes/checks/correction-form.ts';

const celsius = { quantity: 'root/temperature', unitText: '°C', unit: 'C' } as const;
const fahrenheit = { ...celsius, unit: 'F' } as const;
const humidity = { quantity: 'air/humidity', unitText: '%RH', unit: 'C' } as const;
const spaced = (text: string) => text.replaceAll('\u00a0', ' ');

describe('what is read', () => {
  test('1.2 °C is 34.2 °F, and a correction of −1.2 K takes off 2.16 °F', () => {
    // 1.2 · 9/5 + 32 = 34.16; 1.2 · 9/5 = 2.16
    expect(spaced(valueWords(1.2, fahrenheit))).toBe('34.2 °F');
    expect(spaced(lineWords({ gain: 1, offset: -1.2 }, fahrenheit))).toBe('takes off 2.16 °F');
    expect(spaced(lineWords({ gain: 1, offset: 0.5 }, celsius))).toBe('adds 0.50 K');
  });

  test('a gain of 1.2687 and −15.21 %RH is shown as both, and no correction as none', () => {
    expect(spaced(lineWords({ gain: 1.2687, offset: -15.21 }, humidity))).toBe(
      'times 1.2687, less 15.21 %RH',
    );
    expect(lineWords({ gain: 1, offset: 0 }, humidity)).toBe('no correction');
  });

  const taken: TakenReading = {
    atMs: 0,
    readings: 21,
    read: 1.2,
    corrected: 1.2,
    reference: 0,
    uncertainty: 0.1,
    accuracy: 0.3,
    temperatureC: null,
  };
  test('1.2 °C in ice is 1.2 K too high where 0.4 K is allowed', () => {
    expect(spaced(takenWords(taken, celsius))).toBe(
      'It read 1.2 °C; right is 0.0 °C, give or take 0.10 K. That is 1.2 K too high: 0.40 K is allowed, for the probe and the reference together.',
    );
    expect(spaced(takenWords({ ...taken, corrected: 0.02 }, celsius))).toContain(
      'corrected to 0.0 °C; right is 0.0 °C, give or take 0.10 K. That is no difference',
    );
  });

  test('what it comes to: right, off with a proposal, or broken', () => {
    const words = (result: Parameters<typeof resultWords>[0]['result']) =>
      spaced(resultWords({ result, kind: 'ice' }, celsius));
    expect(words({ verdict: 'within', proposal: null })).toContain('Nothing is to be corrected');
    expect(words({ verdict: 'off', proposal: { gain: 1, offset: -1.2 } })).toContain('takes off 1.20 K');
    expect(words({ verdict: 'implausible', proposal: null })).toContain('replace the probe');
    expect(words(null)).toBe('Given up before its end.');
  });
});

describe('what is waited for', () => {
  test('12 of 20 min are 60 % of the least time', () => {
    const inPlace = { name: 'in-place', met: false, has: 12, needs: 20 } as const;
    expect(spaced(criterionWords(inPlace, celsius))).toBe('there for 12 min of 20 min');
    expect(
      progressOf({
        steady: false,
        criteria: [inPlace],
        readings: 1,
        mean: 0,
        newest: 0,
        newestMs: 0,
        temperatureC: null,
        reference: 0,
        uncertainty: 0.1,
      }),
    ).toBeCloseTo(0.6, 12);
  });

  test('a spread of 0.4 K against 0.3, and one that is not known', () => {
    const spread = { name: 'spread', met: false, has: 0.4, needs: 0.3 } as const;
    expect(spaced(criterionWords(spread, celsius))).toBe('readings within 0.4 K, at most 0.3 K');
    expect(criterionWords({ ...spread, has: null }, celsius)).toContain('not known yet');
  });
});

test('each salt has its own caution, and all that goes in ice or salt the one about mains', () => {
  const names = { probe: 'a', beside: 'b' };
  const care = (salt: 'lithium chloride' | 'sodium chloride') =>
    instructionsOf({ kind: 'salt', salt }, names).care.join(' ');
  expect(care('lithium chloride')).toContain('gloves');
  expect(care('sodium chloride')).not.toContain('gloves');
  for (const words of [care('sodium chloride'), instructionsOf({ kind: 'ice' }, names).care.join(' ')])
    expect(words).toContain('mains');
});

describe('when checks are due', () => {
  const truth = (probeId: number, due: string | null, lastCheck: string | null = null) => ({
    probeId,
    due,
    lastCheck,
    kinds: ['ice' as const],
  });
  const at = { nowMs: Date.UTC(2026, 5, 1), nameOf: (id: number) => `probe-${id}` };
  test('one that fell due yesterday is named, one due tomorrow is not', () => {
    const probes = [
      truth(1, '2026-05-31T00:00:00Z', '2025-11-30T00:00:00Z'),
      truth(2, '2026-06-02T00:00:00Z'),
    ];
    expect(dueWords(probes, at)).toBe('Due for a check: probe-1.');
    expect(dueWords([probes[1] ?? truth(2, null)], at)).toBe('No check is due.');
  });

  test('none checked yet, and one of two never checked', () => {
    expect(dueWords([truth(1, null)], at)).toContain('No probe was checked yet');
    expect(
      dueWords([truth(1, null), truth(2, '2026-06-02T00:00:00Z', '2026-01-01T00:00:00Z')], at),
    ).toContain('never checked: probe-1');
    expect(dueWords([], at)).toContain('no probe yet');
  });
});

test('of three corrections the withdrawn, the replaced and the one in force are told apart', () => {
  const entry = (id: number, fromMs: number, withdrawnMs: number | null = null): Correction => ({
    id,
    probeId: 1,
    fromMs,
    gain: 1,
    offset: id,
    reason: '',
    by: null,
    enteredMs: 0,
    checkId: null,
    withdrawnMs,
    withdrawnBy: null,
  });
  const corrections = [entry(1, 0), entry(2, 60_000), entry(3, 120_000, 5)];
  const inForce = { gain: 1, offset: 2, fromMs: 60_000 };
  expect(corrections.map((one) => correctionState(one, { corrections, inForce }))).toEqual([
    'replaced',
    'in force',
    'withdrawn',
  ]);
});

test('a place says of its own probes which are in ice and which are corrected, and nothing of others', () => {
  const check = { probeId: 1, kind: 'ice', steps: [{ sinceMs: 0 }] } as const;
  const truth = (probeId: number) => ({ probeId, inForce: { gain: 1, offset: 0.5, fromMs: 0 } });
  const named = (ids: readonly number[]) => ({
    rows: ids.map((id) => ({ id })),
    nameOf: (id: number) => `probe-${id}`,
    scaleOf: () => celsius,
  });
  const answer = { open: [check], probes: [truth(2), truth(3)] };
  expect(spaced(placeCheckWords(answer, named([1, 2])))).toBe(
    'probe-1 is being checked and counts nowhere meanwhile. probe-2: adds 0.50 K.',
  );
  expect(placeCheckWords(answer, named([4]))).toBe('');
});

describe('a correction that is typed', () => {
  const typed = { offset: '-0,4', gain: '1', reason: ' lab ', from: '' };
  test('with a comma for a point, from now on', () => {
    expect(correctionOf(typed, { timeZone: 'UTC', scale: celsius }).correction).toEqual({
      gain: 1,
      offset: -0.4,
      reason: 'lab',
    });
  });

  test('in °F is kept as one of °C: a shift of 1.8 °F is 1 K, and a gain turns about 0 °F', () => {
    const scale = fahrenheit;
    const read = (offset: string, gain: string) =>
      correctionOf({ ...typed, offset, gain }, { timeZone: 'UTC', scale }).correction;
    expect(read('1.8', '1')).toEqual({ gain: 1, offset: 1, reason: 'lab' });
    // of boiling water: both lines give one temperature
    const line = read('0.4', '1.05');
    expect(line).toEqual({ gain: 1.05, offset: expect.closeTo(2 / 1.8, 9), reason: 'lab' });
    expect((212 * 1.05 + 0.4 - 32) / 1.8).toBeCloseTo(100 * 1.05 + (line?.offset ?? 0), 9);
    expect(spaced(lineWords({ gain: 1.05, offset: 2 / 1.8 }, fahrenheit))).toBe(
      'times 1.0500 in °F, plus 0.40 °F',
    );
    expect(spaced(lineWords({ gain: 1.05, offset: 2 }, celsius))).toBe('times 1.0500 in °C, plus 2.00 K');
  });

  test('from 10:00 in Rome in June holds from 08:00 UTC', () => {
    expect(
      correctionOf({ ...typed, from: '2026-06-01T10:00' }, { timeZone: 'Europe/Rome', scale: celsius })
        .correction?.from,
    ).toBe('2026-06-01T08:00:00.000Z');
  });

  test('without a number or a reason says what is wrong, beside each field', () => {
    const { correction, errors } = correctionOf(
      { ...typed, offset: 'much', reason: ' ' },
      { timeZone: 'UTC', scale: celsius },
    );
    expect(correction).toBeNull();
    expect(Object.keys(errors)).toEqual(['offset', 'reason']);
  });
});
