import fc from 'fast-check';
import { LIMIT_RULES, type LimitRule } from '../../../../../shared/rules/rules.ts';

/** Probes a place of a story may have; all belong to one device, which reports them in one message. */
export const PROBES = [
  'air/temperature',
  'air/temperature/2',
  'air/humidity',
  'air/humidity/2',
  'root/temperature',
  'root/temperature/2',
  'light/ppfd',
  'mist/valve',
] as const;
export type ProbeName = (typeof PROBES)[number];

/** What people do at the start of a spell, or what happens to the computer. */
export type Deed =
  | { readonly kind: 'acknowledge' }
  | { readonly kind: 'shelve'; readonly rule: LimitRule; readonly minutes: number }
  | { readonly kind: 'out-of-service'; readonly rule: LimitRule }
  | { readonly kind: 'in-service'; readonly rule: LimitRule }
  | { readonly kind: 'targets'; readonly change: TargetChange }
  | { readonly kind: 'correct'; readonly probe: ProbeName; readonly offset: number }
  | { readonly kind: 'archive'; readonly probe: ProbeName }
  | { readonly kind: 'rule'; readonly rule: LimitRule; readonly on: boolean }
  | { readonly kind: 'answer'; readonly mat: boolean | null }
  | { readonly kind: 'restart'; readonly downMin: number }
  | { readonly kind: 'clock'; readonly byMin: number };

/** Targets that are changed, in their own units. */
export type TargetChange = {
  readonly ceilingC?: number;
  readonly dayLowC?: number;
  readonly nightLowC?: number;
  readonly rootLowC?: number;
  readonly vpdHighKpa?: number;
  readonly rampMin?: number;
  readonly peakPpfdUmolM2S?: number;
};

/** A stretch of time towards which the climate moves, and then stays. */
export type Spell = {
  readonly minutes: number;
  /** minutes until the values are reached, in a straight line */
  readonly overMin: number;
  readonly airC: number;
  readonly rootC: number;
  readonly humidityPct: number;
  /** 'sun': bright by day, dark by night */
  readonly light: 'sun' | 'lamp' | 'dark';
  /** how far second probes read from the first, K and %RH */
  readonly apart: number;
  readonly silent: readonly ProbeName[];
  /** probes that were silent begin with 85 °C, as a one-wire chip does after power-up */
  readonly powerUp: boolean;
  readonly mistEveryMin: number | null;
  readonly deeds: readonly Deed[];
};

export type Story = {
  /** hour of the day at which it begins, UTC */
  readonly startHour: number;
  readonly cadenceMin: number;
  readonly probes: readonly ProbeName[];
  readonly spells: readonly Spell[];
};

const rule = fc.constantFrom(...LIMIT_RULES);
const probe = fc.constantFrom(...PROBES);
const oneOf = <T>(...values: readonly [T, ...T[]]) => fc.constantFrom(...values);

const change: fc.Arbitrary<TargetChange> = fc.record(
  {
    ceilingC: oneOf(26.7, 24, 30, 35),
    dayLowC: oneOf(21.1, 18, 23),
    nightLowC: oneOf(13, 8, 17),
    rootLowC: oneOf(21.1, 18, 15, 23),
    vpdHighKpa: oneOf(0.5, 0.8, 1.5),
    rampMin: oneOf(0, 90, 240),
    peakPpfdUmolM2S: oneOf(80, 300),
  },
  { requiredKeys: [] },
);

const deed: fc.Arbitrary<Deed> = fc.oneof(
  { weight: 5, arbitrary: fc.record({ kind: fc.constant('acknowledge' as const) }) },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('shelve' as const), rule, minutes: oneOf(5, 60, 120) }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('out-of-service' as const), rule }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('in-service' as const), rule }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('targets' as const), change }) },
  {
    weight: 2,
    arbitrary: fc.record({ kind: fc.constant('correct' as const), probe, offset: oneOf(-2, -0.4, 0.7, 3) }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('archive' as const), probe }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('rule' as const), rule, on: fc.boolean() }) },
  {
    weight: 3,
    arbitrary: fc.record({ kind: fc.constant('answer' as const), mat: oneOf(null, true, false) }),
  },
  {
    weight: 3,
    arbitrary: fc.record({ kind: fc.constant('restart' as const), downMin: oneOf(0, 0, 3, 20, 90) }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('clock' as const), byMin: oneOf(-120, -7, 4, 180) }),
  },
);

/** Around every edge of the sheet of the first contact, and far beyond each. */
const airC = oneOf(22, 22, 23, 15, 26.6, 26.9, 28, 31.8, 33, 38.5, 20.8, 18.4, 12.8, 12, 10.1, 8, 3, -2);
const rootC = oneOf(23.5, 23.5, 22, 21.2, 20.9, 19, 16, 11, 29.9, 30.4, 33);
const humidityPct = oneOf(92, 92, 85, 80, 70, 55, 40, 99.5);

const spell: fc.Arbitrary<Spell> = fc.record({
  minutes: oneOf(10, 15, 20, 40, 60, 60, 120, 180, 300),
  overMin: oneOf(0, 0, 5, 60, 240),
  airC,
  rootC,
  humidityPct,
  light: oneOf('sun', 'sun', 'sun', 'lamp', 'dark'),
  apart: oneOf(0, 0.3, -3, 6, -12),
  silent: fc.oneof(
    { weight: 3, arbitrary: fc.constant([]) },
    { weight: 2, arbitrary: fc.uniqueArray(probe, { minLength: 1, maxLength: 2 }) },
    { weight: 1, arbitrary: fc.constant([...PROBES]) },
  ),
  powerUp: fc.boolean(),
  mistEveryMin: fc.oneof(
    { weight: 9, arbitrary: fc.constant(null) },
    { weight: 1, arbitrary: fc.constant(10) },
  ),
  deeds: fc.oneof(
    { weight: 3, arbitrary: fc.constant([]) },
    { weight: 3, arbitrary: fc.array(deed, { minLength: 1, maxLength: 2 }) },
  ),
});

const probes: fc.Arbitrary<readonly ProbeName[]> = fc
  .record({
    air: oneOf(1, 1, 2),
    humidity: oneOf(1, 1, 2, 0),
    root: oneOf(1, 1, 2, 0),
    light: fc.boolean(),
    mist: fc.integer({ min: 0, max: 7 }).map((n) => n === 0),
  })
  .map(({ air, humidity, root, light, mist }) =>
    PROBES.filter((name) => {
      const second = name.endsWith('/2');
      if (name.startsWith('air/temperature')) return !second || air === 2;
      if (name.startsWith('air/humidity')) return second ? humidity === 2 : humidity > 0;
      if (name.startsWith('root')) return second ? root === 2 : root > 0;
      return name === 'light/ppfd' ? light : mist;
    }),
  );

/** A few hours to two days of the climate of one place. */
export const story: fc.Arbitrary<Story> = fc.record({
  startHour: fc.integer({ min: 0, max: 23 }),
  cadenceMin: oneOf(2, 3, 4, 1),
  probes,
  spells: fc.array(spell, { minLength: 2, maxLength: 12 }),
});
