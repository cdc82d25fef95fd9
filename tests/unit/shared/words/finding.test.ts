import { expect, test } from 'vitest';
import { FINDINGS, type Finding, type FindingKind } from '../../../../shared/model/probes/finding.ts';
import { findingWords } from '../../../../shared/words/finding.ts';

const atMs = Date.UTC(2026, 5, 1, 9, 30);
const reader = { unit: 'C', timeZone: 'UTC', nowMs: Date.UTC(2026, 5, 1, 18) } as const;

const finding = (kind: FindingKind, over: Partial<Finding> = {}): Finding => ({
  probeId: 1,
  probe: 'bench-1/root/temperature',
  quantity: 'root/temperature',
  finding: kind,
  sinceMs: atMs,
  untilMs: null,
  orEarlier: false,
  readings: 2,
  spans: [],
  facts: { seen: 85, limit: null, other: 21.06, otherProbe: null },
  ...over,
});

test('a power-up value says how often, what it reported beside it, that it is left out, and what to look at', () => {
  const { headline, why, counted, action } = findingWords(finding('power-up'), reader);
  expect(headline).toBe('bench-1/root/temperature: power-up value, since 09:30.');
  expect(why).toBe(
    '2 times it read exactly 85.0 °C, which a one-wire probe holds from power-up until it first measures; other readings at that time: 21.1 °C.',
  );
  expect(counted).toContain('left out of exposures');
  expect(action).toContain('loses power');
});

test('a reader in °F reads 185.0 °F for a value and 5.4 °F for a difference of 3 K', () => {
  const inF = { ...reader, unit: 'F' as const };
  expect(findingWords(finding('power-up'), inF).why).toContain('exactly 185.0 °F');
  const apart = { seen: -3, limit: 3, other: 8, otherProbe: 'bench-1/air/temperature/2' };
  const { why } = findingWords(finding('disagreement', { facts: apart }), inF);
  expect(why).toContain('It lay 5.4 °F below bench-1/air/temperature/2 for 8 h');
  expect(why).toContain('Which of the two is wrong cannot be seen from here.');
});

test('one that is over says from when to when, one that may have begun earlier says so', () => {
  const over = finding('flat', { untilMs: atMs + 8 * 3_600_000, orEarlier: true });
  expect(findingWords(over, reader).headline).toBe(
    'bench-1/root/temperature: flat line, from 09:30 or earlier to 17:30.',
  );
});

test('each of the 13 kinds has words for why, what is counted and what to do, without a hole in them', () => {
  const kinds = Object.keys(FINDINGS) as FindingKind[];
  expect(kinds).toHaveLength(13);
  for (const kind of kinds) {
    const said = findingWords(
      finding(kind, { facts: { seen: 4, limit: 3, other: 7, otherProbe: null } }),
      reader,
    );
    for (const words of Object.values(said)) {
      expect(words).toMatch(/^\S.*\.$/);
      expect(words).not.toMatch(/undefined|null|NaN|–/);
    }
  }
});
