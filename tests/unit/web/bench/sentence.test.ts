import { describe, expect, test } from 'vitest';
import type { Exposures, NowValue } from '../../../../shared/wire/http.ts';
import { baseAgainstAir, cardSentence, type LayerFacts, layerWords } from '../../../../web/bench/sentence.ts';
import type { Layer, LimitSpan, Side } from '../../../../web/bench/trace.ts';
import { HOUR_MS, MINUTE_MS, NOW_MS, nowValue, WELL } from '../examples.ts';

const READER = { unit: 'C', timeZone: 'UTC', nowMs: NOW_MS } as const;
const FAHRENHEIT = { ...READER, unit: 'F' } as const;
const AT_0340 = Date.UTC(2026, 2, 5, 3, 40);

const limits = (low: number, high: number, ceiling: number | null = null): LimitSpan => ({
  fromMs: 0,
  toMs: NOW_MS * 2,
  night: false,
  low,
  high,
  ceiling,
});
type Past = { side?: Side; sinceMs?: number; wholeTrace?: boolean };
function facts(layer: Layer, current: NowValue | null, band: LimitSpan, past: Past = {}): LayerFacts {
  const deviation = { side: 'within' as const, sinceMs: AT_0340, wholeTrace: false, ...past };
  return { layer, current, limits: band, deviation };
}
const AIR = facts('air', nowValue(22.4, 'within'), limits(21.1, 26.7, 26.7));
const LEAF = facts('vpd', nowValue(0.21, 'within'), limits(0.1, 0.5));
const ROOT = facts('rootZone', nowValue(23.8, 'within'), limits(21.1, 26.7));
const COLD_ROOT = facts('rootZone', nowValue(19.4, 'below'), limits(21.1, 26.7), { side: 'below' });

describe('one reading of a new device', () => {
  const told = nowValue(30.1, 'above');
  const only = facts('air', told, limits(21.1, 26.7), { side: 'above', sinceMs: NOW_MS, wholeTrace: true });

  test('is 3.4 above its band, and says nothing of since when', () => {
    expect(layerWords(only, READER).lead).toBe('3.4 above its band');
  });

  test('is waited on for the next, whether fresh or an hour old', () => {
    const waiting = { day: null, now: { ...WELL, firstReadings: true } };
    expect(cardSentence([only], waiting, READER)).toBe(
      'Air 3.4 above its band. Waiting for its next reading.',
    );
    const old = facts('air', { ...told, state: 'stale' }, limits(21.1, 26.7));
    expect(cardSentence([old], waiting, READER)).toBe('Waiting for its next reading.');
  });
});

describe('the words beside a number', () => {
  // 14:06 less 03:40 is 10 h 26 min.
  test('in band since 03:40 at 14:06 is in band 10 h 26 min', () => {
    expect(layerWords(AIR, READER).lead).toBe('in band 10 h 26 min');
  });

  test('in band from the start of a trace of 24 h is all the last 24 h', () => {
    const whole = facts('air', AIR.current, limits(21.1, 26.7), {
      sinceMs: NOW_MS - 24 * HOUR_MS,
      wholeTrace: true,
    });
    expect(layerWords(whole, READER).lead).toBe('in band all the last 24 h');
  });

  // 21.1 − 19.4 = 1.7 K; 1.7 K × 9/5 = 3.06 °F, without the 32 of the scale.
  test('19.4 against 21.1 is 1.7 below in °C and 3.1 below in °F', () => {
    expect(layerWords(COLD_ROOT, READER)).toMatchObject({
      tone: 'below',
      lead: '1.7 below its band since 03:40',
    });
    expect(layerWords(COLD_ROOT, FAHRENHEIT).lead).toBe('3.1 below its band since 03:40');
  });

  test('22.8 that is said to be below a band whose new limits are not yet known is below, without a distance', () => {
    const changed = facts('rootZone', nowValue(22.8, 'below'), limits(21.1, 26.7));
    expect(layerWords(changed, READER).lead).toBe('below its band');
  });

  // 28.9 − 26.7 = 2.2 K; 26.7 °C × 9/5 + 32 = 80.06 °F.
  test('28.9 is 2.2 over a ceiling of 26.7, since when the alarm says, and the ceiling reads 80.1 in °F', () => {
    const over = {
      ...facts('air', nowValue(28.9, 'over-ceiling'), limits(21.1, 26.7, 26.7), { side: 'above' }),
      overSinceMs: NOW_MS - 4 * MINUTE_MS,
    };
    expect(layerWords(over, READER).lead).toBe('2.2 over its ceiling since 14:02');
    expect(layerWords(over, FAHRENHEIT).rest).toEqual(['ceiling 80.1']);
  });

  test('a stale value says the word, when it was last read and how long ago', () => {
    const old = facts('air', nowValue(20, 'stale', NOW_MS - 46 * MINUTE_MS), limits(21, 25));
    expect(layerWords(old, READER)).toMatchObject({
      tone: 'stale',
      lead: 'out of date: last reading 13:20, 46 min ago',
    });
  });

  test('a layer that no probe reads says so', () => {
    expect(layerWords(facts('rootZone', null, limits(21, 25)), READER).lead).toBe(
      'no probe for the root zone',
    );
  });

  test('a leaf that light warms is shown beside it, as an estimate with its range; in the dark it is not', () => {
    const warm = { ...nowValue(0.73, 'unjudged'), estimated: true, range: { low: 0.42, high: 0.951 } };
    expect(layerWords({ ...LEAF, leaf: warm }, READER).rest).toEqual([
      ...['air VPD', 'at the leaf about 0.73 kPa, estimated from the light (0.42 to 0.95)'],
    ]);
    const dark = { ...warm, range: { low: 0.7, high: 0.74 } };
    expect(layerWords({ ...LEAF, leaf: dark }, READER).rest).toEqual(['air VPD']);
  });

  test('the leaf says that its number is the air VPD', () => {
    expect(layerWords(LEAF, READER)).toEqual({ tone: 'plain', lead: 'damp enough', rest: ['air VPD'] });
  });
});

test('a base of 23.8 under air of 22.4 is 1.4 warmer, the other way round 1.4 cooler, a stale one is not compared', () => {
  const air = nowValue(22.4, 'within');
  const root = nowValue(23.8, 'within');
  expect(baseAgainstAir(root, air, 'C')).toBe('1.4 warmer than the air');
  expect(baseAgainstAir(air, root, 'C')).toBe('1.4 cooler than the air');
  expect(baseAgainstAir(root, root, 'C')).toBe('as warm as the air');
  expect(baseAgainstAir(root, { ...air, state: 'stale' }, 'C')).toBeNull();
});

const day = (degreeHoursBelow: number): Exposures => {
  const span = { coveredHours: 24, hoursBelow: 0, hoursWithin: 24, hoursAbove: 0 };
  const degrees = { ...span, degreeHoursBelow: 0, degreeHoursAbove: 0, minC: null, maxC: null, meanC: null };
  return {
    placeId: 'a',
    from: '',
    to: '',
    rootZone: { ...degrees, degreeHoursBelow },
    air: { ...degrees, hoursOverCeiling: 0, degreeHoursOverCeiling: 0 },
    vpd: { ...span, kpaHoursBelow: 0, kpaHoursAbove: 0, minKpa: null, maxKpa: null, meanKpa: null },
    saturation: { coveredHours: 24, hoursSaturated: 0 },
    light: { coveredHours: 0, days: [] },
    leafVpd: { coveredHours: 24, kpaHours: 0, maxKpa: null, meanKpa: null, assumedOffsetK: 0 },
    daylightVpd: { coveredHours: 10, kpaHours: 0 },
    rootMinusAir: {
      coveredHours: 24,
      hoursAirWarmer: 0,
      degreeHoursAirWarmer: 0,
      minK: null,
      maxK: null,
      meanK: null,
    },
    condensation: { surface: null, coveredHours: 0, hoursBelowDewPoint: 0, minMarginK: null },
    harm: null,
    wetHours: [],
  };
};

const WELL_CARD = { day: null, now: WELL } as const;

describe('the sentence of a place', () => {
  test('three minutes after 13 min at 33 °C it does not say that there is nothing to do', () => {
    const lately = [
      {
        kind: 'air-over-ceiling' as const,
        from: new Date(NOW_MS - 16 * MINUTE_MS).toISOString(),
        to: new Date(NOW_MS - 3 * MINUTE_MS).toISOString(),
        ...{ peak: 33, furthest: 6.3, harm: 0.2 },
      },
    ];
    const now = { ...WELL, state: 'watch', lately } as const;
    expect(cardSentence([AIR, LEAF, ROOT], { day: null, now }, READER)).toBe(
      'Air was 6.3 °C over its ceiling for 13 min from 13:50. Look at the leaves: limp ones need mist and shade.',
    );
  });

  test('in band with saturated air that its sheet asks about it says so', () => {
    const now = { ...WELL, state: 'watch' } as const;
    const saturated = 'air saturated; its target sheet allows 12 h without a vent';
    expect(cardSentence([AIR, LEAF, ROOT], { day: null, now, saturated }, READER)).toBe(
      'Air saturated; its target sheet allows 12 h without a vent.',
    );
  });

  test('in band with the air probe gone it says what is not monitored, and not that there is nothing to do', () => {
    const now = { ...WELL, state: 'act', blindTo: ['heat'] } as const;
    expect(cardSentence([ROOT], { day: null, now }, READER)).toBe(
      'Air temperature is not reporting: heat is not monitored.',
    );
  });

  test('all three in band since 03:40 at the latest have been so for 10 h 26', () => {
    expect(cardSentence([AIR, LEAF, ROOT], WELL_CARD, READER)).toBe(
      'Air, leaf and root zone have been in band for 10 h 26 min. Nothing to do.',
    );
  });

  test('what is out of its band is said, and the rest is not', () => {
    expect(cardSentence([AIR, LEAF, COLD_ROOT], WELL_CARD, READER)).toBe(
      'Root zone 1.7 below its band since 03:40.',
    );
  });

  test('a night that cost 6.4 °C·h is said although the root zone is back, with what to look at', () => {
    expect(cardSentence([AIR, LEAF, ROOT], { ...WELL_CARD, day: day(6.4) }, READER)).toBe(
      'Root zone lost 6.4\u00a0°C·h below its band in the last 24 h. It is back since 03:40. Look at the mat, its plug and its residual-current switch.',
    );
  });

  test('0.9 °C·h in a day are not worth a sentence, 1 is, and while it is still cold its own words remain', () => {
    const said = (root: LayerFacts, degreeHours: number) =>
      cardSentence([AIR, LEAF, root], { ...WELL_CARD, day: day(degreeHours) }, READER);
    expect(said(ROOT, 0.9)).toBe('Air, leaf and root zone have been in band for 10 h 26 min. Nothing to do.');
    expect(said(ROOT, 1)).toContain('Root zone lost 1.0\u00a0°C·h below its band');
    expect(said(COLD_ROOT, 6.4)).toBe('Root zone 1.7 below its band since 03:40.');
  });

  test('when every layer is stale while a device sends what it kept, the place says up to when that has come', () => {
    const stale = nowValue(20, 'stale', NOW_MS - 3 * HOUR_MS);
    const layers = [AIR, LEAF, ROOT].map((layer) => ({ ...layer, current: stale }));
    expect(cardSentence(layers, { day: null, now: { ...WELL, catchingUp: true } }, READER)).toBe(
      'Catching up: stored readings are arriving, up to 11:06 so far. Not monitored until they are current.',
    );
  });

  test('when every layer is stale the place says how long nothing was read', () => {
    const stale = nowValue(20, 'stale', NOW_MS - 3 * HOUR_MS);
    const layers = [AIR, LEAF, ROOT].map((layer) => ({ ...layer, current: stale }));
    expect(cardSentence(layers, WELL_CARD, READER)).toBe(
      'No readings since 11:06, 3 h ago. The chart is out of date.',
    );
  });

  test('before the first reading the place says what it waits for', () => {
    const layers = [AIR, LEAF, ROOT].map((layer) => ({ ...layer, current: null }));
    expect(cardSentence(layers, WELL_CARD, READER)).toMatch(/^No readings yet/);
  });
});
