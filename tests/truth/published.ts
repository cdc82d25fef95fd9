import { readFileSync } from 'node:fs';
import {
  absoluteHumidityGM3,
  airVpdKpa,
  dewPointC,
  humidityRatioKgKg,
  leafVpdKpa,
  vapourPressureKpa,
} from '../../shared/climate/humidity.ts';
import { LX_PER_UMOL, ppfdFromIlluminance } from '../../shared/climate/light.ts';
import { standardPressureKpa } from '../../shared/climate/pressure.ts';
import { lnSaturationOverIce, saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { wetBulbC } from '../../shared/climate/wetbulb.ts';
import { celsiusFromKelvin } from '../../shared/quantities.ts';
import { RECOMPUTE_LEAF } from './published-leaf.ts';
import { RECOMPUTE_LIGHT_SUMS } from './published-light.ts';
import { type PublishedRow, type Read, type Recompute, readerOf, rowsSchema } from './row.ts';

export type Evaluated = {
  readonly row: PublishedRow;
  readonly got: number;
  readonly error: number;
  readonly tolerance: number;
};

const PA_PER_KPA = 1000;

/** Evaluates every row of check-values.json with this project's own functions. */
export function evaluatePublishedRows(): Evaluated[] {
  const text = readFileSync(new URL('./check-values.json', import.meta.url), 'utf8');
  return rowsSchema.parse(JSON.parse(text)).map((row) => {
    const got = recompute(row);
    return {
      row,
      got,
      error: Math.abs(got - row.expected),
      tolerance: row.practical_tolerance ?? row.tolerance,
    };
  });
}

function recompute(row: PublishedRow): number {
  const how = RECOMPUTE[row.quantity.startsWith('PPFD') ? row.quantity.replace(/, .*/, '') : row.quantity];
  if (how === undefined) throw new Error(`${row.id}: nothing here computes "${row.quantity}"`);
  return how(readerOf(row), row);
}

const airOf = (read: Read) => ({ airTemperatureC: read('t_c'), relativeHumidityPct: read('rh_pct') });
const pressureOf = (read: Read) => read('p_pa') / PA_PER_KPA;
const unitOf = (row: PublishedRow, kpa: number) => (row.unit === 'Pa' ? kpa * PA_PER_KPA : kpa);

/** A row that states a wet bulb is met by finding the humidity at which ours is that. */
function humidityAtWetBulbPct(read: Read): number {
  let [low, high] = [0, 100];
  for (let halving = 0; halving < 50; halving += 1) {
    const middle = (low + high) / 2;
    const air = {
      airTemperatureC: read('t_dry_c'),
      relativeHumidityPct: middle,
      pressureKpa: pressureOf(read),
    };
    if (wetBulbC(air) < read('t_wet_c')) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

const stateAtWetBulb = (read: Read) => ({
  airTemperatureC: read('t_dry_c'),
  relativeHumidityPct: humidityAtWetBulbPct(read),
});

const dewPoint: Recompute = (read, row) =>
  dewPointC('t_wet_c' in row.inputs ? stateAtWetBulb(read) : airOf(read));
const vapourPressure: Recompute = (read, row) => unitOf(row, vapourPressureKpa(airOf(read)));
const wetBulb: Recompute = (read) => wetBulbC({ ...airOf(read), pressureKpa: pressureOf(read) });

const RECOMPUTE: Readonly<Record<string, Recompute>> = {
  ...RECOMPUTE_LEAF,
  ...RECOMPUTE_LIGHT_SUMS,
  'saturation vapour pressure over water': (read) => saturationPressureOverWaterKpa(read('t_c')) * PA_PER_KPA,
  'saturation pressure at the triple point': (read) =>
    saturationPressureOverWaterKpa(read('t_c')) * PA_PER_KPA,
  'saturation pressure (formula check value)': (read) =>
    saturationPressureOverWaterKpa(celsiusFromKelvin(read('t_k'))) * PA_PER_KPA,
  'saturation vapour pressure over ice': (read) => Math.exp(lnSaturationOverIce(read('t_c') + 273.15)),
  'vapour pressure from T and RH': vapourPressure,
  'vapour pressure': vapourPressure,
  'vapour pressure deficit': (read) => airVpdKpa(airOf(read)),
  'leaf-to-air vapour pressure deficit': (read) =>
    leafVpdKpa({
      leafTemperatureC: read('t_leaf_c'),
      airTemperatureC: read('t_air_c'),
      relativeHumidityPct: read('rh_pct'),
    }),
  'dew point': dewPoint,
  'dew point from T and RH': dewPoint,
  'dew point round trip': (read) =>
    dewPointC({
      airTemperatureC: read('t_c'),
      relativeHumidityPct: read('e_pa') / 10 / saturationPressureOverWaterKpa(read('t_c')),
    }),
  'thermodynamic wet bulb': wetBulb,
  'wet bulb from T and RH (empirical)': wetBulb,
  'relative humidity': humidityAtWetBulbPct,
  'humidity ratio': (read, row) => {
    const pressureKpa = 'p_kpa' in row.inputs ? read('p_kpa') : pressureOf(read);
    const ratio = humidityRatioKgKg({ vapourPressureKpa: vapourPressureKpa(airOf(read)), pressureKpa });
    return row.unit.startsWith('g/kg') ? ratio * 1000 : ratio;
  },
  'humidity ratio from vapour pressure': (read) =>
    humidityRatioKgKg({ vapourPressureKpa: read('e_pa') / PA_PER_KPA, pressureKpa: pressureOf(read) }),
  'humidity ratio from wet bulb': (read) =>
    humidityRatioKgKg({
      vapourPressureKpa: vapourPressureKpa(stateAtWetBulb(read)),
      pressureKpa: pressureOf(read),
    }),
  'saturation humidity ratio at 101325 Pa': (read) =>
    humidityRatioKgKg({
      vapourPressureKpa: saturationPressureOverWaterKpa(read('t_c')),
      pressureKpa: pressureOf(read),
    }),
  'absolute humidity': (read) =>
    absoluteHumidityGM3({ airTemperatureC: read('t_c'), vapourPressureKpa: vapourPressureKpa(airOf(read)) }),
  'saturated absolute humidity': (read) =>
    absoluteHumidityGM3({
      airTemperatureC: read('t_c'),
      vapourPressureKpa: saturationPressureOverWaterKpa(read('t_c')),
    }),
  'standard-atmosphere pressure': (read) => standardPressureKpa(read('altitude_m')) * PA_PER_KPA,
  'PPFD from illuminance': (read) =>
    ppfdFromIlluminance({ illuminanceLx: read('illuminance_lux'), lxPerUmol: read('lux_per_umol') }),
  'lux per PPFD, sunlight': () => LX_PER_UMOL.daylight,
};
