import psychrolib from 'psychrolib';
import { airVpdKpa, dewPointC, humidityRatioKgKg, vapourPressureKpa } from '../../shared/climate/humidity.ts';
import { standardPressureKpa } from '../../shared/climate/pressure.ts';
import { lnSaturationOverIce, saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { wetBulbC } from '../../shared/climate/wetbulb.ts';
import type { ReportLine } from './line.ts';

psychrolib.SetUnitSystem(psychrolib.SI);

const TRIPLE_POINT_C = 0.01;
const PRESSURES_PA = [101_325, 80_000];
/** Same equations, other order of the operations: a few units in the last place of a double. */
const ROUNDING = 1e-11;
/** psychrolib stops a dew point once a Newton step is under 0.001 K, which leaves some 1e-9 K. */
const DEW_POINT_K = 1e-8;
/** psychrolib halves its wet-bulb bracket down to 0.001 K and gives the middle. */
const WET_BULB_K = 6e-4;
/** Ours put back into psychrolib's heat balance; 1e-5 K moves the humidity ratio by up to 3e-8. */
const BALANCE_KG_KG = 3e-8;

type Worst = { rows: number; worst: number };

/** Worst difference of each function from psychrolib on a grid of 0.02…50 °C and 1…100 %RH, and below freezing. */
export function comparedWithPsychrolib(): ReportLine[] {
  return [...alongTemperature(), ...overStates(), alongAltitude()];
}

function alongTemperature(): ReportLine[] {
  const [water, ice] = [nothing(), nothing()];
  for (const temperatureC of steps(0.02, 150, 0.01))
    note(
      water,
      relative(saturationPressureOverWaterKpa(temperatureC) * 1000, psychrolib.GetSatVapPres(temperatureC)),
    );
  for (const temperatureC of steps(-100, 0, 0.01))
    note(
      ice,
      relative(Math.exp(lnSaturationOverIce(temperatureC + 273.15)), psychrolib.GetSatVapPres(temperatureC)),
    );
  return [
    line('saturation pressure over water, 0.02…150 °C', water, ROUNDING, 'relative'),
    line('saturation pressure over ice, −100…0 °C', ice, ROUNDING, 'relative'),
  ];
}

function alongAltitude(): ReportLine {
  const seen = nothing();
  for (const altitudeM of steps(-500, 10_000, 10))
    note(seen, relative(standardPressureKpa(altitudeM) * 1000, psychrolib.GetStandardAtmPressure(altitudeM)));
  return line('standard pressure, −500…10 000 m', seen, ROUNDING, 'relative');
}

function overStates(): ReportLine[] {
  const seen = {
    vapour: nothing(),
    vpd: nothing(),
    ratio: nothing(),
    dew: nothing(),
    wetBulb: nothing(),
    iceBulb: nothing(),
    balance: nothing(),
  };
  for (const airTemperatureC of steps(0.02, 50, 0.245))
    for (let humidityPct = 1; humidityPct <= 100; humidityPct += 1) {
      const air = { airTemperatureC, relativeHumidityPct: humidityPct };
      const vapourPa = psychrolib.GetVapPresFromRelHum(airTemperatureC, humidityPct / 100);
      note(seen.vapour, relative(vapourPressureKpa(air) * 1000, vapourPa));
      const dewC = psychrolib.GetTDewPointFromVapPres(airTemperatureC, vapourPa);
      if (dewC > TRIPLE_POINT_C) note(seen.dew, Math.abs(dewPointC(air) - dewC));
      for (const pressurePa of PRESSURES_PA) {
        const pressureKpa = pressurePa / 1000;
        const ratio = psychrolib.GetHumRatioFromVapPres(vapourPa, pressurePa);
        note(
          seen.ratio,
          relative(humidityRatioKgKg({ vapourPressureKpa: vapourPa / 1000, pressureKpa }), ratio),
        );
        const deficitPa = psychrolib.GetVaporPressureDeficit(airTemperatureC, ratio, pressurePa);
        note(seen.vpd, Math.abs(airVpdKpa(air) - deficitPa / 1000));
        compareWetBulb(seen, { airTemperatureC, ratio, pressurePa, ours: wetBulbC({ ...air, pressureKpa }) });
      }
    }
  return [
    line('vapour pressure', seen.vapour, ROUNDING, 'relative'),
    line('vapour pressure deficit', seen.vpd, ROUNDING, 'kPa'),
    line('humidity ratio', seen.ratio, ROUNDING, 'relative'),
    line('dew point above 0.01 °C', seen.dew, DEW_POINT_K, 'K'),
    line('wet bulb over water', seen.wetBulb, WET_BULB_K, 'K'),
    line('wet bulb over ice', seen.iceBulb, WET_BULB_K, 'K'),
    line('heat balance at our wet bulb', seen.balance, BALANCE_KG_KG, 'kg/kg'),
  ];
}

type WetBulbCase = { airTemperatureC: number; ratio: number; pressurePa: number; ours: number };

/**
 * Where a water bulb and an iced bulb both have an answer, which of them psychrolib meets is chance: only the
 * balance is compared. From 0 to 0.01 °C psychrolib wets the bulb with water and saturates the air over ice.
 */
function compareWetBulb(
  seen: { wetBulb: Worst; iceBulb: Worst; balance: Worst },
  { airTemperatureC, ratio, pressurePa, ours }: WetBulbCase,
): void {
  if (ours < 0 || ours > TRIPLE_POINT_C) {
    const back = psychrolib.GetHumRatioFromTWetBulb(airTemperatureC, ours, pressurePa);
    note(seen.balance, Math.abs(back - ratio));
  }
  const waterAtZero = psychrolib.GetHumRatioFromTWetBulb(airTemperatureC, 0, pressurePa);
  const iceAtZero = psychrolib.GetHumRatioFromTWetBulb(airTemperatureC, -1e-9, pressurePa);
  if (ratio >= waterAtZero && ratio <= iceAtZero) return;
  const theirs = psychrolib.GetTWetBulbFromHumRatio(airTemperatureC, ratio, pressurePa);
  note(ratio > iceAtZero ? seen.wetBulb : seen.iceBulb, Math.abs(ours - theirs));
}

function* steps(low: number, high: number, step: number): Generator<number> {
  const count = Math.round((high - low) / step);
  for (let index = 0; index <= count; index += 1) yield Math.min(high, low + index * step);
}

const nothing = (): Worst => ({ rows: 0, worst: 0 });
const relative = (ours: number, theirs: number) => Math.abs(ours - theirs) / theirs;

function note(seen: Worst, error: number): void {
  if (Number.isNaN(error)) throw new Error('a comparison gave no number');
  seen.rows += 1;
  seen.worst = Math.max(seen.worst, error);
}

function line(quantity: string, seen: Worst, tolerance: number, unit: string): ReportLine {
  const source = 'psychrolib 1.1.1 on a grid';
  return { kind: 'psychrolib', quantity, read: 0, recalled: 0, ...seen, tolerance, unit, source };
}
