import { expect, test } from 'vitest';
import { createMeasures } from '../../../../server/adapters/metrics/metrics.ts';
import { families, type Measured, MOST_PLACES } from '../../../../server/domain/metrics/families.ts';
import { grammarFaults } from '../support/openmetrics-grammar.ts';

const MEASURED: Measured = {
  version: '1.2.3',
  node: '24.1.0',
  isReady: true,
  readingsAccepted: 12,
  refusedByCode: { 'not-json': 3, 'bad-field': 1 },
  conflicts: 2,
  places: [
    { placeId: 'bench-1', newestAgeMs: 2_500 },
    { placeId: 'a "quoted" \\ one\nover two lines', newestAgeMs: 0 },
  ],
  alarmsActive: { high: 1, medium: 0, low: 2 },
  outboxWaiting: 4,
  outboxFailures: 5,
  outboxAgeMs: 90_000,
  probesSilent: 3,
  placesByState: { act: 1, watch: 0, ok: 4 },
  diskDaysLeft: 211,
  databaseBytes: 65_536,
  freeBytes: 1e12,
  clockIsSteady: false,
  loopDelay: { medianMs: 0.25, p99Ms: 3, maxMs: 40 },
};

test('what is measured is valid by the grammar of OpenMetrics 1.0.0, with units at the end of names and # EOF at the end', async () => {
  const measures = createMeasures();
  expect(measures.timed(() => 7)).toBe(7);
  const text = await measures.text(families(MEASURED));
  expect(grammarFaults(text)).toEqual([]);
  expect(text.endsWith('\n# EOF\n')).toBe(true);
  expect(text.split('\n')).toEqual(
    expect.arrayContaining([
      '# TYPE strikewell_readings_accepted counter',
      'strikewell_readings_accepted_total 12',
      'strikewell_messages_refused_total{code="not-json"} 3',
      '# UNIT strikewell_newest_reading_age_seconds seconds',
      'strikewell_newest_reading_age_seconds{place="bench-1"} 2.5',
      'strikewell_newest_reading_age_seconds{place="a \\"quoted\\" \\\\ one\\nover two lines"} 0',
      'strikewell_alarms_active{priority="low"} 2',
      'strikewell_outbox_failures_total 5',
      '# UNIT strikewell_database_bytes bytes',
      'strikewell_disk_free_bytes 1000000000000',
      'strikewell_event_loop_delay_seconds{stat="max"} 0.04',
      'strikewell_build_info{version="1.2.3",node="24.1.0"} 1',
      'strikewell_clock_steady 0',
      'strikewell_outbox_age_seconds 90',
      'strikewell_probes_silent 3',
      'strikewell_places{state="ok"} 4',
      'strikewell_disk_left_days 211',
      '# TYPE strikewell_commit_seconds histogram',
      'strikewell_commit_seconds_count 1',
    ]),
  );
});

test('of 1,500 places 1,000 are listed, and how many are not', async () => {
  const places = Array.from({ length: 1_500 }, (_, i) => ({ placeId: `place-${i}`, newestAgeMs: i }));
  const text = await createMeasures().text(families({ ...MEASURED, places }));
  expect(grammarFaults(text)).toEqual([]);
  expect(text.match(/^strikewell_newest_reading_age_seconds\{/gm)).toHaveLength(MOST_PLACES);
  expect(text).toContain('strikewell_places_unlisted 500\n');
});

test('what is not known is left out', async () => {
  const nothing = { medianMs: Number.NaN, p99Ms: Number.NaN, maxMs: Number.NaN };
  const text = await createMeasures().text(families({ ...MEASURED, loopDelay: nothing, diskDaysLeft: null }));
  expect(grammarFaults(text)).toEqual([]);
  expect(text).not.toContain('strikewell_event_loop_delay_seconds{');
  expect(text).not.toContain('strikewell_disk_left_days');
});

test.each([
  ['a sample before its type', 'a 1\n# EOF\n'],
  ['a counter without _total', '# TYPE a counter\na 1\n# EOF\n'],
  ['a unit that is not in the name', '# TYPE a gauge\n# UNIT a seconds\na 1\n# EOF\n'],
  ['no end', '# TYPE a gauge\na 1\n'],
  ['a family in two parts', '# TYPE a gauge\na 1\n# TYPE b gauge\nb 1\na{x="y"} 2\n# EOF\n'],
  ['one series twice', '# TYPE a gauge\na 1\na 2\n# EOF\n'],
  ['an unescaped quote', '# TYPE a gauge\na{x="""} 1\n# EOF\n'],
])('the grammar in these tests refuses %s', (_what, text) => {
  expect(grammarFaults(text)).not.toEqual([]);
});
