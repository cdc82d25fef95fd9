import { condensationMarginK } from '../../shared/climate/condensation.ts';
import { airVpdKpa, dewPointC, vapourPressureKpa } from '../../shared/climate/humidity.ts';
import { latentHeatMjKg } from '../../shared/climate/latent.ts';
import {
  forcedVapourConductanceMolM2S,
  freeVapourConductanceMolM2S,
  leafFilmDrying,
  MOST_FILM_UM,
  USUAL_LEAF,
} from '../../shared/climate/leaf-film.ts';
import { UMOL_PER_PAR_J } from '../../shared/climate/light.ts';
import { lnSlopeOverWater, saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { airErrorRange, humidityErrorPct, SENSOR_CLASSES } from '../../shared/climate/sensor-error.ts';
import { lampSchema } from '../../shared/model/lamp.ts';
import { celsiusFromFahrenheit } from '../../shared/quantities.ts';
import type { Read, Recompute } from './row.ts';

/** Rows give the length along the stream, 0.72 of the width ([CN98]). */
const widthOf = (read: Read) => read('characteristic_dimension_m') / 0.72;

const filmHours =
  (netRadiationWM2: number | null): Recompute =>
  (read) => {
    const { dryingMin } = leafFilmDrying({
      ...USUAL_LEAF,
      airTemperatureC: read('t_air_c'),
      relativeHumidityPct: read('rh_pct'),
      pressureKpa: read('p_pa') / 1000,
      leafWidthM: widthOf(read),
      airSpeedMS: read('wind_m_s'),
      filmUm: read('film_mm') * 1000,
      netRadiationWM2,
    });
    return (dryingMin ?? Number.NaN) / 60;
  };

const slope: Recompute = (read, row) => {
  const temperatureC = 't_f' in row.inputs ? celsiusFromFahrenheit(read('t_f')) : read('t_c');
  return saturationPressureOverWaterKpa(temperatureC) * lnSlopeOverWater(temperatureC + 273.15);
};

/** How the rows on light in W/m², leaves, surfaces and sensors are computed with this project's own functions. */
export const RECOMPUTE_LEAF: Readonly<Record<string, Recompute>> = {
  'slope of the saturation curve': slope,
  'slope of the saturation curve (full precision)': slope,
  'latent heat of vaporisation': (read) => latentHeatMjKg(read('t_c')),
  'latent heat per mole at 20 degC': (read) => latentHeatMjKg(read('t_c')) * 18.015,
  'equivalent evaporation': (read) => read('energy_mj_m2') / latentHeatMjKg(20),
  'hourly vapour pressure deficit from T and RH': (read) =>
    airVpdKpa({ airTemperatureC: read('t_c'), relativeHumidityPct: read('rh_pct') }),
  'actual vapour pressure from dew point': (read) => saturationPressureOverWaterKpa(read('t_dew_c')),
  'dew point by inverted Tetens': (read) =>
    dewPointC({
      airTemperatureC: 30,
      relativeHumidityPct: (100 * read('e_kpa')) / saturationPressureOverWaterKpa(30),
    }),
  'condensation margin Tsurface - Tdew': (read) =>
    condensationMarginK({
      surfaceTemperatureC: read('t_surface_c'),
      airTemperatureC: read('t_air_c'),
      relativeHumidityPct: read('rh_pct'),
    }),
  'PPFD from PAR irradiance (400-700 nm)': (read, row) => {
    const lamp = lampSchema.options.find((one) => row.quantity.endsWith(one));
    return lamp === undefined ? Number.NaN : read('par_w_m2') * UMOL_PER_PAR_J[lamp];
  },
  'leaf boundary-layer conductance for vapour, one side, laminar forced convection': (read) =>
    forcedVapourConductanceMolM2S({ airSpeedMS: read('wind_m_s'), leafWidthM: read('leaf_width_m') }),
  'leaf boundary-layer conductance for vapour, free convection': (read) =>
    freeVapourConductanceMolM2S({ leafMinusAirK: read('leaf_minus_air_k'), leafWidthM: widthOf(read) }),
  'time to evaporate a one-sided film, leaf at air temperature': filmHours(null),
  'time to evaporate a one-sided film, leaf cooled by evaporation, no net radiation': filmHours(0),
  'maximum liquid water column on a leaf': () => MOST_FILM_UM / 1000,
  'VPD error from an RH error': (read) => {
    const air = { airTemperatureC: read('t_c'), relativeHumidityPct: read('rh_pct') };
    const errors = { temperatureErrorK: 0, humidityErrorPct: read('rh_error_pct') };
    const { value, high } = airErrorRange({ ...air, ...errors }, airVpdKpa);
    return high - value;
  },
  'RH error of a sensor 1 K off the air temperature at 20 degC': (read) => {
    const air = { airTemperatureC: read('t_c'), relativeHumidityPct: read('rh_pct') };
    const saturatedKpa = saturationPressureOverWaterKpa(read('t_c') + read('temperature_difference_k'));
    return air.relativeHumidityPct - (100 * vapourPressureKpa(air)) / saturatedKpa;
  },
  'accuracy class of a generic digital 1-wire thermometer': () =>
    SENSOR_CLASSES['one-wire thermometer'].temperatureErrorK,
  'accuracy class of a digital capacitive RH sensor, 20-80 %RH': () =>
    humidityErrorPct({ sensor: SENSOR_CLASSES['digital capacitive chip'], relativeHumidityPct: 50 }) ??
    Number.NaN,
};
