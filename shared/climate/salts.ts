/** Salts with a published humidity over their saturated solution that a grower can have. */
export const SALT_NAMES = [
  'lithium chloride',
  'magnesium chloride',
  'sodium chloride',
  'potassium sulfate',
] as const;
export type SaltName = (typeof SALT_NAMES)[number];

/** Where the published equations hold, °C; a solution outside is given no value. @source [GREENSPAN77] */
const SALT_RANGE_C = { low: 0, high: 50 } as const;

type Uncertainty = { readonly atC: number; readonly pct: number };
type Salt = {
  /** of the powers of °C, %RH */
  readonly coefficients: readonly number[];
  /** as tabulated, ascending; straight between these */
  readonly uncertainties: readonly Uncertainty[];
  /** no less than any uncertainty tabulated from 0 to 50 °C; used where the table was not read */
  readonly boundPct: number;
};

const SALTS: Readonly<Record<SaltName, Salt>> = {
  'lithium chloride': { coefficients: [11.2323, 0.00824245, -2.1489e-4], uncertainties: [], boundPct: 0.6 },
  'magnesium chloride': {
    coefficients: [33.6686, -0.00797397, -1.08988e-3],
    uncertainties: [
      { atC: 15, pct: 0.21 },
      { atC: 20, pct: 0.18 },
      { atC: 25, pct: 0.16 },
      { atC: 30, pct: 0.14 },
    ],
    boundPct: 0.4,
  },
  'sodium chloride': {
    coefficients: [75.5164, 0.0398321, -2.65459e-3, 2.848e-5],
    uncertainties: [
      { atC: 15, pct: 0.18 },
      { atC: 20, pct: 0.14 },
      { atC: 25, pct: 0.12 },
      { atC: 30, pct: 0.11 },
    ],
    boundPct: 0.4,
  },
  'potassium sulfate': {
    coefficients: [98.7792, -0.0590502],
    uncertainties: [
      { atC: 20, pct: 0.6 },
      { atC: 25, pct: 0.5 },
      { atC: 30, pct: 0.4 },
    ],
    boundPct: 1.1,
  },
};

/** A published value with the uncertainty stated for it, to either side. */
export type FixedPoint = { readonly value: number; readonly uncertainty: number };

/**
 * The relative humidity at which air over a saturated salt solution, with salt left over, comes to rest.
 *
 * The source tabulates the same equations, cut off at 0.01 %RH. Its uncertainties are those of a laboratory; a jar at
 * home adds to them what its temperature is off by.
 * @param state.salt which salt, pure
 * @param state.temperatureC temperature of solution, air and probe alike, °C
 * @returns %RH with its uncertainty, %RH to either side; null outside 0…50 °C
 * @source [GREENSPAN77] table 1 and table 2
 * @example saltHumidityPct({ salt: 'sodium chloride', temperatureC: 25 }).value // 75.30
 */
export function saltHumidityPct(state: {
  readonly salt: SaltName;
  readonly temperatureC: number;
}): FixedPoint | null {
  const { salt, temperatureC } = state;
  if (!(temperatureC >= SALT_RANGE_C.low && temperatureC <= SALT_RANGE_C.high)) return null;
  const { coefficients, uncertainties, boundPct } = SALTS[salt];
  const value = coefficients.reduceRight((sum, coefficient) => sum * temperatureC + coefficient, 0);
  return { value, uncertainty: between(uncertainties, temperatureC) ?? boundPct };
}

function between(known: readonly Uncertainty[], atC: number): number | null {
  const above = known.findIndex((one) => one.atC >= atC);
  const [right, left] = [known[above], known[Math.max(above - 1, 0)]];
  if (right === undefined || left === undefined || left.atC > atC) return null;
  if (right === left) return right.pct;
  return left.pct + ((atC - left.atC) / (right.atC - left.atC)) * (right.pct - left.pct);
}

/**
 * The temperature of melting ice in water, as a bath made at home keeps it.
 *
 * The ice point is 0.0 °C almost exactly [MSL-ICE]; the 0.1 K to either side that a mug of crushed ice and tap water is
 * allowed here, for salts in the water and for ice that does not touch the probe, is common practice without a source.
 */
export const ICE_POINT: FixedPoint = { value: 0, uncertainty: 0.1 };
