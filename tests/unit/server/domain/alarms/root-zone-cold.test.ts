import { expect, test } from 'vitest';
import { rootZoneFarTooCold } from '../../../../../server/domain/alarms/rules/root-zone/root-zone-far-too-cold.ts';
import type { SampleQuestion } from '../../../../../server/domain/alarms/rules/sampler.ts';
import { segmentsOf } from '../../../../../shared/exposure/coverage.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../../../shared/model/place.ts';
import { TARGETS } from '../../support/targets.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const START_MS = Date.UTC(2026, 2, 5);

/** The newest sample at a root zone held to 21 °C from below, of hours at a value one after the other. */
function newestSample(
  stretches: readonly { readonly hours: number; readonly rootC: number }[],
  lowered?: { readonly fromMs: number; readonly low: number },
) {
  const values = stretches.flatMap(({ hours, rootC }) => Array<number>(hours * 12).fill(rootC));
  const timesMs = values.map((_, i) => START_MS + i * 5 * MINUTE_MS);
  const endMs = START_MS + (values.length - 1) * 5 * MINUTE_MS;
  const whole = { fromMs: START_MS - 48 * HOUR_MS, toMs: endMs + HOUR_MS, low: 21, high: 26, course: null };
  const question: SampleQuestion = {
    place: { id: 'bench', name: 'bench', kind: 'bench', invented: false, settings: DEFAULT_PLACE_SETTINGS },
    span: { fromMs: endMs, toMs: endMs + 1 },
    reported: () => true,
    moment: () => ({ targets: TARGETS, night: false, light: true }),
    rootZone: () => ({
      segments: segmentsOf(probeRecord({ timesMs, values }), { maxGapMs: 15 * MINUTE_MS }),
      bands: [
        { ...whole, toMs: lowered?.fromMs ?? whole.toMs },
        ...(lowered ? [{ ...whole, ...lowered }] : []),
      ],
    }),
    mist: () => raise(),
    unmisted: () => () => null,
    vents: () => raise(),
    saturation: () => raise(),
  };
  return rootZoneFarTooCold.samples(question).at(-1);
}

function raise(): never {
  throw new Error('not asked');
}

test('a root zone at 19.5 °C for 24 h and at 20 °C for 18 h has 27 °C·h of the last day, and is not over', () => {
  const sample = newestSample([
    { hours: 24, rootC: 19.5 },
    { hours: 18, rootC: 20 },
  ]);
  // 6 h of 1.5 K and 18 h of 1 K
  expect(sample?.value).toBeCloseTo(27, 0);
  expect(sample?.recovers?.(START_MS)).toBe(false);
});

test('a root zone that was at 18 °C for 10 h is over the cold after an hour in its band', () => {
  const sample = newestSample([
    { hours: 10, rootC: 18 },
    { hours: 1, rootC: 23 },
  ]);
  expect(sample?.value).toBe(0);
  expect(sample?.recovers?.(START_MS)).toBe(true);
});

test('a root zone at 18 °C for 10 h is over the cold by a band that was lowered, unless it has warmed up to the one before', () => {
  const lowered = { fromMs: START_MS + 10 * HOUR_MS, low: 15 };
  const stays = newestSample([{ hours: 11, rootC: 18 }], lowered);
  expect(stays).toMatchObject({ value: 0, limitMoved: true });
  expect(stays?.recovers?.(START_MS)).toBe(true);
  const warmed = newestSample(
    [
      { hours: 10.5, rootC: 18 },
      { hours: 0.5, rootC: 22 },
    ],
    lowered,
  );
  expect(warmed).toMatchObject({ value: 0 });
  expect(warmed).not.toHaveProperty('limitMoved');
});
