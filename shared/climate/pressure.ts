import { ALTITUDE_LIMITS, requireWithin } from './domain.ts';

/** Pressure of the standard atmosphere at sea level, kPa. @source [ASHRAE17] ch. 1 eq. 3 */
export const STANDARD_PRESSURE_KPA = 101.325;

/**
 * Air pressure of the standard atmosphere at an altitude; the weather moves the real one by some 3 %.
 * @param altitudeM above sea level, −500…10 000 m
 * @returns kPa
 * @throws RangeError outside that range
 * @source [ASHRAE17] ch. 1 eq. 3
 * @example standardPressureKpa(1000) // 89.875
 */
export function standardPressureKpa(altitudeM: number): number {
  requireWithin(altitudeM, ALTITUDE_LIMITS);
  return STANDARD_PRESSURE_KPA * (1 - 2.25577e-5 * altitudeM) ** 5.2559;
}
