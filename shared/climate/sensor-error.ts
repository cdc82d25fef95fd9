import { HUMIDITY_LIMITS, requireWithin, TEMPERATURE_LIMITS } from './domain.ts';
import type { Air } from './humidity.ts';

/** How far a reading may be off to either side: K and %RH. */
type AirError = { readonly temperatureErrorK: number; readonly humidityErrorPct: number };
type ErrorRange = { readonly low: number; readonly value: number; readonly high: number };

const ERROR_K = { quantity: 'temperature error', unit: 'K', low: 0, high: 20 } as const;
const ERROR_PCT = { quantity: 'humidity error', unit: '%RH', low: 0, high: 100 } as const;

/** A class of sensors, for a place that states no errors of its own. */
type SensorClass = {
  readonly temperatureErrorK: number;
  /** Error to either side at a humidity, straight between these; none for a thermometer. */
  readonly humidityErrors: readonly { readonly atPct: number; readonly errorPct: number }[];
  readonly source: string;
  readonly mark: string;
};

export const SENSOR_CLASSES = {
  'digital capacitive chip': {
    temperatureErrorK: 0.3,
    humidityErrors: [
      { atPct: 0, errorPct: 4 },
      { atPct: 10, errorPct: 4 },
      { atPct: 20, errorPct: 2 },
      { atPct: 80, errorPct: 2 },
      { atPct: 90, errorPct: 4 },
      { atPct: 100, errorPct: 4 },
    ],
    source: '[SENSOR-SHEETS]',
    mark: '2 %RH from 20 to 80 %RH and 4 %RH above 90: seen; temperature, below 20 %RH and the straight parts: recalled',
  },
  'one-wire thermometer': {
    temperatureErrorK: 0.5,
    humidityErrors: [],
    source: '[SENSOR-SHEETS]',
    mark: '0.5 K from −10 to 85 °C: recalled',
  },
} as const satisfies Record<string, SensorClass>;

/**
 * How far a humidity sensor of a class may be off at a reading; weeks above 80 %RH add up to 3 %RH until it dries.
 * @param sensor class of the sensor, and the humidity it reads, 0…100 %RH
 * @returns %RH to either side, or null for a class that reads no humidity
 * @throws RangeError outside that range
 * @source [SENSOR-SHEETS]
 * @example humidityErrorPct({ sensor: SENSOR_CLASSES['digital capacitive chip'], relativeHumidityPct: 85 }) // 3.0
 */
export function humidityErrorPct(reading: {
  readonly sensor: SensorClass;
  readonly relativeHumidityPct: number;
}): number | null {
  requireWithin(reading.relativeHumidityPct, HUMIDITY_LIMITS);
  const { humidityErrors } = reading.sensor;
  const above = humidityErrors.findIndex(({ atPct }) => atPct >= reading.relativeHumidityPct);
  const [right, left] = [humidityErrors[above], humidityErrors[Math.max(above - 1, 0)]];
  if (right === undefined || left === undefined) return null;
  if (right === left) return right.errorPct;
  const part = (reading.relativeHumidityPct - left.atPct) / (right.atPct - left.atPct);
  return left.errorPct + part * (right.errorPct - left.errorPct);
}

/**
 * The least and the most a quantity of the air can be while both readings are off by no more than their errors.
 *
 * Exact for what rises or falls all the way with temperature and with humidity, as all quantities of humidity.ts
 * do: the extremes are then at corners. Corners are kept within 0…100 %RH and −150…150 °C.
 * @param reading the air as read; its errors, 0…20 K and 0…100 %RH
 * @param quantity what is computed of air, in its own unit
 * @returns low, value and high in that unit
 * @throws RangeError outside those ranges, and where the quantity itself throws
 * @source [GUM] 5.1: here the whole range, not a standard uncertainty
 * @example airErrorRange({ airTemperatureC: 25, relativeHumidityPct: 80, temperatureErrorK: 0, humidityErrorPct: 3 }, airVpdKpa).high // 0.729
 */
export function airErrorRange(reading: Air & AirError, quantity: (air: Air) => number): ErrorRange {
  requireErrors(reading);
  const value = quantity(reading);
  const corners = [-1, 1].flatMap((warm) => [-1, 1].map((wet) => quantity(cornerOf(reading, { warm, wet }))));
  return { low: Math.min(value, ...corners), value, high: Math.max(value, ...corners) };
}

function requireErrors(error: AirError): void {
  requireWithin(error.temperatureErrorK, ERROR_K);
  requireWithin(error.humidityErrorPct, ERROR_PCT);
}

function cornerOf(reading: Air & AirError, toward: { warm: number; wet: number }): Air {
  const warmC = reading.airTemperatureC + toward.warm * reading.temperatureErrorK;
  const wetPct = reading.relativeHumidityPct + toward.wet * reading.humidityErrorPct;
  return {
    airTemperatureC: Math.min(Math.max(warmC, TEMPERATURE_LIMITS.low), TEMPERATURE_LIMITS.high),
    relativeHumidityPct: Math.min(Math.max(wetPct, 0), 100),
  };
}
