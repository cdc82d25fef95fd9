import {
  type DerivedSeriesName,
  SERIES_QUANTITIES,
  type SeriesQuantityName,
} from '../../../shared/quantities.ts';

/** How a number is made, in symbols a person can follow, and the key of its source in shared/sources.md. */
type Formula = { readonly formula: string; readonly source: string };

const SATURATION = 'e_s is the saturation pressure over water at that temperature, kPa (ASHRAE eq. 6)';

/** Formulas of what is not just the median of its probes. */
const VALUE_FORMULAS = {
  airVpdKpa: { formula: `e_s(T) × (1 − RH/100); ${SATURATION}`, source: 'HW83' },
  leafVpdKpa: { formula: `e_s(T_leaf) − RH/100 × e_s(T_air); ${SATURATION}`, source: 'HW83' },
  dewPointC: {
    formula: `the temperature at which e_s equals RH/100 × e_s(T); ${SATURATION}`,
    source: 'HW83',
  },
  wetBulbC: {
    formula: 'the temperature at which the air, saturated by evaporation into it, keeps its enthalpy',
    source: 'ASHRAE17',
  },
  humidityRatioGKg: {
    formula: '1000 × 0.621945 × e / (p − e), with e = RH/100 × e_s(T)',
    source: 'ASHRAE17',
  },
  absoluteHumidityGM3: { formula: '2166.79 × e / (T + 273.15), e in kPa', source: 'WMO8' },
  ppfdUmolM2S: {
    formula: 'median of the PPFD probes reporting; without one, illuminance / factor of the light source',
    source: 'TH83',
  },
} satisfies Partial<Record<SeriesQuantityName, Formula>> & Record<DerivedSeriesName, Formula>;

/** How a present value is made. */
export function valueFormula(series: SeriesQuantityName): Formula {
  const made: Partial<Record<SeriesQuantityName, Formula>> = VALUE_FORMULAS;
  const name = SERIES_QUANTITIES[series].name.toLowerCase();
  return made[series] ?? { formula: `median of the probes reporting ${name}`, source: 'CONTRACT' };
}

/** How each exposure is counted, by its field; `*` stands for any position. */
export const EXPOSURE_FORMULAS: Readonly<
  Record<string, Formula & { readonly unit: string; readonly name: string }>
> = {
  coveredHours: entry('covered time', 'h', 'time between readings that lie at most the gap limit apart'),
  hoursBelow: entry(
    'time below the band',
    'h',
    'time in which the straight line between readings runs below the low limit',
  ),
  hoursWithin: entry('time within the band', 'h', 'covered time less time below and above'),
  hoursAbove: entry(
    'time above the band',
    'h',
    'time in which the straight line between readings runs above the high limit',
  ),
  degreeHoursBelow: entry('degree-hours below', '°C·h', '∫ (low limit − T) dt where it is positive'),
  degreeHoursAbove: entry('degree-hours above', '°C·h', '∫ (T − high limit) dt where it is positive'),
  hoursOverCeiling: entry(
    'time over the ceiling',
    'h',
    'time in which the straight line between readings runs above the ceiling',
  ),
  degreeHoursOverCeiling: entry(
    'heat dose over the ceiling',
    '°C·h',
    '∫ (T − ceiling) dt where it is positive',
  ),
  kpaHoursBelow: entry('kPa-hours below', 'kPa·h', '∫ (low limit − VPD) dt where it is positive'),
  kpaHoursAbove: entry('kPa-hours above', 'kPa·h', '∫ (VPD − high limit) dt where it is positive'),
  kpaHours: entry('VPD-hours', 'kPa·h', '∫ VPD dt'),
  hoursSaturated: entry(
    'time saturated',
    'h',
    'time in which relative humidity runs at or above the threshold',
  ),
  hoursAirWarmer: entry('time with the air the warmer', 'h', 'time in which root zone − air runs below 0'),
  degreeHoursAirWarmer: entry(
    'degree-hours with the air the warmer',
    'K·h',
    '∫ (air − root zone) dt where it is positive',
  ),
  hoursBelowDewPoint: entry(
    'time under the dew point',
    'h',
    'time in which surface − dew point of the air runs below 0',
  ),
  dliMolM2: entry('daily light integral', 'mol m⁻²', '∫ PPFD dt over the local day / 10⁶', 'TORRES'),
  photoperiodHours: entry('photoperiod', 'h', 'time in which PPFD runs at or above 2 µmol m⁻² s⁻¹'),
  minC: entry('lowest', '°C', 'lowest point of the straight lines between readings'),
  maxC: entry('highest', '°C', 'highest point of the straight lines between readings'),
  meanC: entry('mean', '°C', '∫ T dt / covered time'),
  minKpa: entry('lowest', 'kPa', 'lowest point of the straight lines between computed values'),
  maxKpa: entry('highest', 'kPa', 'highest point of the straight lines between computed values'),
  meanKpa: entry('mean', 'kPa', '∫ VPD dt / covered time'),
  minK: entry('smallest difference', 'K', 'lowest point of root zone − air'),
  maxK: entry('largest difference', 'K', 'highest point of root zone − air'),
  meanK: entry('mean difference', 'K', '∫ (root zone − air) dt / covered time'),
  assumedOffsetK: entry(
    'assumed leaf offset',
    'K',
    'leaf − air as the place states it, where no probe reports',
  ),
  hours: entry(
    'hours in the condition',
    'h',
    'time in which the air lies in the published temperatures, limits included, and leaf or air counts as wet',
  ),
  longestHours: entry('longest stretch in the condition', 'h', 'the longest such time without a break'),
  minMarginK: entry('smallest margin', 'K', 'lowest point of surface − dew point of the air'),
};

const SEEN =
  'an opening of the valve; where no valve is recorded, a sudden fall of VPD at a vapour pressure that does not fall, or a sudden rise of leaf wetness';
const DRY_GAP =
  'a dry gap runs in light on record from the end of a pulse to the start of the next, or to the end of the light or of the record';
const DRYING =
  'film / (60 × M × g × (e_s(T_leaf) − e) / p), with 1 g/m² to the µm of film, e = RH/100 × e_s(T), M = 18.015 g/mol, w the width and u the air speed; g is the larger of 0.147 × √(u / (0.72 w)) and 0.055 × (ΔT / (0.72 w))^¼ mol m⁻² s⁻¹, ΔT the leaf above the air, 1 K at least';

/** How each number of mist, vents and thermal time is made, by its path; `*` stands for the row of a list. */
export const DETAIL_FORMULAS: typeof EXPOSURE_FORMULAS = {
  'mist.pulses': entry('mist pulses', '', `pulses that began in the span; a pulse is ${SEEN}`),
  'mist.pulsesPerHourInLight': entry(
    'mist pulses an hour in light',
    'h⁻¹',
    'pulses that began in light / hours in light in which one would have been seen',
  ),
  'mist.pulsesPerHourInDark': entry(
    'mist pulses an hour in the dark',
    'h⁻¹',
    'pulses that began in the dark / hours in the dark in which one would have been seen',
  ),
  'mist.missed': entry(
    'missed mist pulses',
    '',
    `over the dry gaps, sum of ⌊gap / pattern + ½⌋ − 1 where it is positive, counted when each was due; ${DRY_GAP}`,
  ),
  'mist.patternMin': entry(
    'mist pattern',
    'min',
    'the interval stated for the place; where none is stated, the median time between pulses in light over 24 h, of at least 5 and the last 100 such times',
  ),
  'mist.coveredHours': entry(
    'time in which a pulse would have been seen',
    'h',
    'time in which readings lie at most the gap limit apart; by the humidity or leaf-wetness record only where the air or leaf was dry enough for a pulse to leave a mark',
  ),
  'mist.longestDryGap': entry('longest dry gap in light', 'min', `the longest of the gaps; ${DRY_GAP}`),
  'mist.film.atAirTemperatureMin': entry(
    'time for a film to dry off, leaf at air temperature',
    'min',
    `${DRYING}; T_leaf = T`,
    'CN98',
  ),
  'mist.film.cooledMin': entry(
    'time for a film to dry off, leaf cooled by evaporation',
    'min',
    `${DRYING}; T_leaf is where the heat that both sides take up from air and surroundings equals that of evaporation`,
    'CN98',
  ),
  'mist.film.inLight.dryingMin': entry(
    'time for a film to dry off, leaf warmed by the light measured now',
    'min',
    `${DRYING}; T_leaf is where the heat that both sides take up from air and surroundings, with that of the light, equals that of evaporation`,
    'CN98',
  ),
  'mist.film.inLight.netRadiationWM2': entry(
    'heat a leaf takes up from the light measured now',
    'W/m²',
    '0.5 of PPFD / 2.06 µmol/J by daylight; 0.85 of PPFD / (µmol in a joule of 400 to 700 nm) by a lamp',
    'CN98',
  ),
  'vents.hoursSinceVent': entry(
    'time since the last vent',
    'h',
    'end of the span − when the cover was shut, or opened where no end is known',
  ),
  'vents.hoursSaturatedSinceVent': entry(
    'time saturated since the last vent',
    'h',
    'time since the last vent, or since the start of the span without one, in which relative humidity runs at or above the threshold',
  ),
  'vents.vents.*.lowestPct': entry(
    'lowest humidity of a vent',
    '%RH',
    'lowest relative humidity from the opening to the shutting of the cover; up to 2 h after the opening where a logged vent has no end',
  ),
  'thermalTime.degreeHours': entry(
    'thermal time of the root zone',
    'K·h',
    '∫ rate dt; the rate is T − base where that is positive, at most upper − base; with an optimum and a stop it falls from optimum − base at the optimum in a straight line to 0 at the stop',
    'WILKERSON05',
  ),
  'thermalTime.coveredHours': entry(
    'covered time',
    'h',
    'time between readings that lie at most the gap limit apart',
  ),
};

function entry(name: string, unit: string, formula: string, source = 'CONTRACT') {
  return { name, unit, formula, source };
}
