import { describe, expect, test } from 'vitest';
import { holdingOf } from '../../../../../server/domain/batches/holding.ts';
import { publishedHolding } from '../../../../../server/domain/batches/published-holding.ts';
import { segmentsOf } from '../../../../../shared/exposure/coverage.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';
import { NO_DETAILS } from '../../../../../shared/model/cuttings/batch.ts';

const HOUR_MS = 3_600_000;
/** 2 March 2026, 08:00 UTC: 17:00 in Tokyo. */
const STUCK_MS = Date.UTC(2026, 2, 2, 8);
const before = (hours: number) => STUCK_MS - hours * HOUR_MS;

/** Hours before sticking at which the temperature in the box was read, °C. */
type Read = readonly (readonly [hoursBefore: number, valueC: number])[];
const temperatureOf = (read: Read) =>
  segmentsOf(
    probeRecord({ timesMs: read.map(([hours]) => before(hours)), values: read.map(([, valueC]) => valueC) }),
    { maxGapMs: 200 * HOUR_MS },
  );

type Given = {
  readonly crop: string;
  readonly cut?: number;
  readonly opened?: number;
  readonly cutHour?: number;
  readonly read?: Read;
};
const held = ({ crop, cut, opened, cutHour = undefined, read }: Given, zone = 'UTC') =>
  holdingOf(
    {
      stuckMs: STUCK_MS,
      body: {
        ...NO_DETAILS,
        crop,
        cutAtMs: cut === undefined ? null : before(cut),
        boxOpenedAtMs: opened === undefined ? null : before(opened),
        cutHour: cutHour ?? null,
        boxPlaceId: 'box',
      },
    },
    { temperature: read ? temperatureOf(read) : null, zone },
  );
const verdicts = (given: Given) => held(given).limits.map(({ verdict }) => verdict);

describe('the limit of a box counts from its opening [HR44 p. 150]', () => {
  test.each([
    ['Geranium', 4, 'within'],
    [' geranium ', 4.01, 'over'],
    ['Lantana', 3, 'within'],
    ['Poinsettia', 24, 'within'],
    ['Euphorbia pulcherrima', 25, 'over'],
  ])('%s opened %d h before sticking is %s', (crop, opened, verdict) => {
    expect(verdicts({ crop, opened })).toEqual([verdict]);
  });

  test('72 h on the way do not count, those since the opening do', () => {
    expect(held({ crop: 'Geranium', cut: 76, opened: 4 })).toMatchObject({
      hoursFromCut: 76,
      hoursFromOpening: 4,
      limits: [{ kind: 'after-opening', hours: 4, source: 'HR44', verdict: 'within' }],
    });
  });

  test('wood cut at home has none, and where nothing is noted nothing is judged', () => {
    expect(verdicts({ crop: 'Geranium', cut: 30 })).toEqual(['does-not-apply']);
    expect(verdicts({ crop: 'Geranium' })).toEqual(['cannot-be-judged']);
    expect(verdicts({ crop: 'Camellia', cut: 1, opened: 1 })).toEqual([]);
    expect(publishedHolding('New Guinea impatiens')).toEqual([]);
  });
});

describe('petunia spoils in 72 h above 15 °C, or 48 h at 25 °C [PET05]', () => {
  test('a box that warms from 10 to 20 °C over 96 h is above 15 °C for the second half, 48 h: within', () => {
    const read = [
      [96, 10],
      [0, 20],
    ] as const;
    expect(held({ crop: 'Petunia', cut: 96, read })).toMatchObject({
      box: { hours: 96, coveredHours: 96, minC: 10, meanC: 15, maxC: 20 },
      limits: [
        { temperatureC: 15, heldHours: 48, verdict: 'within' },
        { temperatureC: 25, heldHours: 0, verdict: 'within' },
      ],
    });
  });

  test('72 h at 16 °C are over the first limit; 48 h at just 25 °C over the second alone', () => {
    const at = (hours: number, valueC: number): Read => [
      [hours, valueC],
      [0, valueC],
    ];
    expect(verdicts({ crop: 'Petunia', cut: 72, read: at(72, 16) })).toEqual(['over', 'within']);
    expect(verdicts({ crop: 'Petunia', cut: 48, read: at(48, 25) })).toEqual(['within', 'over']);
    // 15 °C itself is not above it
    expect(verdicts({ crop: 'Petunia', cut: 90, read: at(90, 15) })).toEqual(['within', 'within']);
  });

  test('hours that are not on record may have been warm: 24 of 96 h unseen leave it open at 60 h, not at 40', () => {
    // 72 h on record, of which the last 60 above 15 °C; then 40: 10 °C before a jump within a minute
    const warmFor = (hours: number): Read => [
      [72, 10],
      [hours + 1 / 60, 10],
      [hours, 18],
      [0, 18],
    ];
    expect(verdicts({ crop: 'Petunia', cut: 96, read: warmFor(60) })[0]).toBe('cannot-be-judged');
    expect(verdicts({ crop: 'Petunia', cut: 96, read: warmFor(40) })[0]).toBe('within');
  });

  test('without a probe a box of 40 h is within both limits, one of 80 h of neither; without the cut of none', () => {
    expect(verdicts({ crop: 'Petunia', cut: 40 })).toEqual(['within', 'within']);
    expect(verdicts({ crop: 'Petunia', cut: 80 })).toEqual(['cannot-be-judged', 'cannot-be-judged']);
    const read = [
      [2, 10],
      [0, 10],
    ] as const;
    expect(verdicts({ crop: 'Petunia', opened: 2, read })).toEqual(['cannot-be-judged', 'cannot-be-judged']);
  });
});

test('the hour of the cut is that of the local clock: 1 h before 08:00 UTC is 7 h, in Tokyo 16 h', () => {
  expect(held({ crop: 'Lantana', cut: 1 }).cutHour).toBe(7);
  expect(held({ crop: 'Lantana', cut: 1 }, 'Asia/Tokyo').cutHour).toBe(16);
  expect(held({ crop: 'Lantana', cutHour: 12 }).cutHour).toBe(12);
  expect(held({ crop: 'Lantana' }).cutHour).toBeNull();
});

test('what was noted after sticking counts for nothing', () => {
  expect(held({ crop: 'Geranium', cut: -1, opened: -1 })).toMatchObject({
    hoursFromCut: null,
    hoursFromOpening: null,
    box: null,
    limits: [{ verdict: 'cannot-be-judged' }],
  });
});
