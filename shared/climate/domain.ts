/** Inclusive limits within which the relations of this folder answer. */
export type Limits = {
  readonly quantity: string;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
};

/** As wide as a probe's accepted readings, so that a stored temperature never lacks a vapour pressure. */
export const TEMPERATURE_LIMITS = { quantity: 'temperature', unit: '°C', low: -150, high: 150 } as const;
export const HUMIDITY_LIMITS = { quantity: 'relative humidity', unit: '%RH', low: 0, high: 100 } as const;
export const PRESSURE_LIMITS = { quantity: 'pressure', unit: 'kPa', low: 20, high: 120 } as const;
export const ALTITUDE_LIMITS = { quantity: 'altitude', unit: 'm', low: -500, high: 10_000 } as const;
export const ILLUMINANCE_LIMITS = { quantity: 'illuminance', unit: 'lx', low: 0, high: 200_000 } as const;
export const PPFD_LIMITS = { quantity: 'PPFD', unit: 'µmol m⁻² s⁻¹', low: 0, high: 4000 } as const;

/**
 * Refuses a value for which a relation has no answer.
 * @param value in the unit of the limits; NaN is refused
 * @param limits inclusive
 * @throws RangeError naming quantity, limits, unit and value
 */
export function requireWithin(value: number, limits: Limits): void {
  if (!(value >= limits.low && value <= limits.high)) refuse(value, limits);
}

function refuse(value: number, { quantity, unit, low, high }: Limits): never {
  throw new RangeError(`${quantity} must be from ${low} to ${high} ${unit}, was ${value}`);
}
