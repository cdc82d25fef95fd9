import { expect, test } from 'vitest';
import { airVpdKpa, leafVpdKpa } from '../../shared/climate/humidity.ts';
import { UMOL_PER_PAR_J } from '../../shared/climate/light.ts';
import { WIDE_OPEN } from '../../shared/exposure/bands.ts';
import { segmentsOf } from '../../shared/exposure/coverage.ts';
import { probeRecord } from '../../shared/exposure/series.ts';
import { sumOver } from '../../shared/exposure/sums.ts';
import { minutesWithoutMist } from '../../shared/harm/minutes-without-mist.ts';
import { differenceInterval, type Interval, wilsonInterval } from '../../shared/statistics/proportion.ts';
import { clockByHand, comingRoundEvery } from '../unit/server/support/hand.ts';
import { START_MS, startHouse } from '../unit/server/support/house.ts';

const ends = ({ low, high }: Interval) => [low.toFixed(4), high.toFixed(4)];
const share = (successes: number, trials: number) => () => ends(wilsonInterval({ successes, trials }));
const difference = (a: number, m: number, b: number, n: number) => () =>
  ends(differenceInterval({ successes: a, trials: m }, { successes: b, trials: n }));
const HOUR_MS = 3_600_000;
const poinsettia = { baseC: 21, optimumC: 28, stopC: 32 };

/** A steady value over so many minutes, as integrated; unit·s. */
function integralS(value: number, minutes: number): number {
  const toMs = minutes * 60_000;
  const record = probeRecord({ timesMs: [0, toMs], values: [value, value] });
  return sumOver(segmentsOf(record, { maxGapMs: toMs }), WIDE_OPEN, { fromMs: 0, toMs }).area / 1_000;
}

/** A day of a steady root zone, as a place answers it; °C·d. */
async function dayOf(temperatureC: number, limits: typeof poinsettia | { baseC: number; upperC: number }) {
  const house = startHouse({ hand: comingRoundEvery(clockByHand(START_MS), HOUR_MS) });
  house.hand.pass(25 * HOUR_MS);
  await house.report(
    Array.from({ length: 145 }, (_, k) => {
      return { n: 'root/temperature', u: 'Cel', v: temperatureC, t: START_MS / 1_000 + 600 * k };
    }),
  );
  const span = { fromMs: START_MS, toMs: START_MS + 24 * HOUR_MS };
  const { degreeHours } = house.daemon.queries.thermalTime('bench-1', { ...span, ...limits });
  house.daemon.stop();
  return degreeHours / 24;
}

type Row = readonly [number: number, what: string, source: string, got: () => unknown, expected: unknown];

/** The check values of the facts about batches; each computed outside this code or printed in the paper named. */
const ROWS: readonly Row[] = [
  [1, '81 of 263', '[NEWCOMBE98A]', share(81, 263), ['0.2553', '0.3662']],
  [2, '0 of 20', '[NEWCOMBE98A]', share(0, 20), ['0.0000', '0.1611']],
  [3, '7 of 10', '[WILSON27], computed', share(7, 10), ['0.3968', '0.8922']],
  [4, '12 of 12', '[WILSON27], computed', share(12, 12), ['0.7575', '1.0000']],
  [5, '16 of 20', '[WILSON27], computed', share(16, 20), ['0.5840', '0.9193']],
  [6, '40 of 50', '[WILSON27], computed', share(40, 50), ['0.6696', '0.8876']],
  [7, '10 of 10', '[WILSON27], computed', share(10, 10), ['0.7225', '1.0000']],
  [8, '56/70 − 48/80', '[NEWCOMBE98B]', difference(56, 70, 48, 80), ['0.0524', '0.3339']],
  [9, '6/7 − 2/7', '[NEWCOMBE98B]', difference(6, 7, 2, 7), ['0.0582', '0.8062']],
  [10, '0/10 − 0/20', '[NEWCOMBE98B]', difference(0, 10, 0, 20), ['-0.1611', '0.2775']],
  [11, '18/20 − 14/20', '[NEWCOMBE98B], computed', difference(18, 20, 14, 20), ['-0.0536', '0.4305']],
  [12, '48/80 − 56/70', '[NEWCOMBE98B], computed', difference(48, 80, 56, 70), ['-0.3339', '-0.0524']],
  [
    13,
    'poinsettia, a day at 20, 24, 28, 30 and 32 °C, in °C·d',
    '[WILKERSON05] and a straight line',
    async () => {
      const days = await Promise.all(
        [20, 24, 28, 30, 32].map((temperatureC) => dayOf(temperatureC, poinsettia)),
      );
      return days.map((day) => day.toFixed(6));
    },
    ['0.000000', '3.000000', '7.000000', '3.500000', '0.000000'],
  ],
  [
    14,
    '14 days at 21.643 °C above a base of 10 °C, in °C·d',
    'computed',
    async () => (14 * (await dayOf(21.643, { baseC: 10, upperC: 40 }))).toFixed(1),
    '163.0',
  ],
  [
    15,
    'minutes to wilting in the dark on days 0, 2, 4 and 6',
    '[ALEM19]',
    () =>
      [0, 2, 4, 6].map((ageDays) =>
        minutesWithoutMist({ ageDays, vpdKpa: 1.2, ppfdUmolM2S: 0, isPoinsettia: true })?.minutes.toFixed(0),
      ),
    ['72', '130', '224', '325'],
  ],
  [16, '26 °C with a deficit of 0.3 kPa, in %RH', 'computed', () => humidityAt(26, 0.3).toFixed(1), '91.1'],
  [
    17,
    'leaf 27 °C, air 24 °C and 95 %RH: deficit of the leaf, and of the air',
    'computed',
    () => {
      const air = { airTemperatureC: 24, relativeHumidityPct: 95 };
      return [leafVpdKpa({ ...air, leafTemperatureC: 27 }).toFixed(3), airVpdKpa(air).toFixed(3)];
    },
    ['0.731', '0.149'],
  ],
  [
    18,
    'leaf and air 24 °C, 85 %RH',
    'computed',
    () => leafVpdKpa({ airTemperatureC: 24, leafTemperatureC: 24, relativeHumidityPct: 85 }).toFixed(3),
    '0.448',
  ],
  [
    19,
    '20 W/m² of light of 400–700 nm for 16 h, in mol/m²',
    '[TH83]',
    () => (integralS(20 * UMOL_PER_PAR_J.daylight, 16 * 60) / 1e6).toFixed(2),
    '5.26',
  ],
  [
    20,
    '15 min at 0.5 kPa, and 7.5 min at 1.0 kPa, in kPa·min',
    'Horticultural Reviews 44 p. 158, computed',
    () => [integralS(0.5, 15), integralS(1, 7.5)].map((kpaS) => (kpaS / 60).toFixed(3)),
    ['7.500', '7.500'],
  ],
];

/** The humidity at which the air lacks so much, %RH. */
function humidityAt(airTemperatureC: number, vpdKpa: number): number {
  let [low, high] = [0, 100];
  for (let step = 0; step < 60; step += 1) {
    const relativeHumidityPct = (low + high) / 2;
    if (airVpdKpa({ airTemperatureC, relativeHumidityPct }) > vpdKpa) low = relativeHumidityPct;
    else high = relativeHumidityPct;
  }
  return low;
}

test('there are 20 check values', () => {
  expect(ROWS.map(([number]) => number)).toEqual(Array.from({ length: 20 }, (_, i) => i + 1));
});

test.each(ROWS)('check value %d: %s (%s)', async (_number, _what, _source, got, expected) => {
  expect(await got()).toEqual(expected);
});
