import { expect, test } from 'vitest';
import type { FindingView } from '../../../../shared/wire/probes/finding.ts';
import { suspectSpans } from '../../../../web/bench/trace.ts';
import { activeFirst, findingOf, suspectLine } from '../../../../web/probes/findings.ts';

const view = (over: Partial<FindingView>): FindingView => ({
  probeId: 1,
  probe: 'a/root/temperature',
  placeId: 'a',
  quantity: 'root/temperature',
  finding: 'flat',
  leftOut: false,
  since: '2026-06-01T08:00:00.000Z',
  until: null,
  orEarlier: false,
  readings: 1,
  spans: [],
  facts: { seen: 21, limit: 6, other: 9, otherProbe: null },
  words: { headline: '', why: '', counted: '', action: '' },
  ...over,
});

test('what is active comes before what is over, and of each the newest first', () => {
  const over = view({ probe: 'over', until: '2026-06-01T12:00:00.000Z' });
  const old = view({ probe: 'old' });
  const fresh = view({ probe: 'fresh', since: '2026-06-01T11:00:00.000Z' });
  expect(activeFirst([over, old, fresh]).map(({ probe }) => probe)).toEqual(['fresh', 'old', 'over']);
});

test('2 findings at 1 probe are one suspect probe; none, and one that is over, are none', () => {
  expect(suspectLine([view({}), view({ finding: 'jump' })])).toBe('One probe is suspect now.');
  expect(suspectLine([view({}), view({ probe: 'b' })])).toBe('2 probes are suspect now.');
  expect(suspectLine([])).toContain('No probe faults in the last three days');
  expect(suspectLine([view({ until: '2026-06-01T12:00:00.000Z' })])).toContain('No probe faults now');
});

test('times come back in ms: 08:00 UTC on 1 June 2026 is 1780300800000', () => {
  // 20605 days of 86,400,000 ms since 1970, and 8 h
  expect(findingOf(view({}))).toMatchObject({ sinceMs: 20_605 * 86_400_000 + 8 * 3_600_000, untilMs: null });
});

test('points 2, 3 and 5 of a trace that are marked make 2 stretches', () => {
  const trace = [1, 2, 3, 4, 5].map((tMs) => ({
    tMs,
    value: 20,
    min: 20,
    max: 20,
    ...([2, 3, 5].includes(tMs) ? { suspect: true as const } : {}),
  }));
  expect(suspectSpans(trace)).toEqual([
    { fromMs: 2, toMs: 3 },
    { fromMs: 5, toMs: 5 },
  ]);
});
