export * from './conversions.ts';

/** What a probe measures: all that is known of it, from the unit in a readings pack to the page. */
export type ProbeQuantity = {
  readonly name: string;
  /** Code of the unit in a readings pack. */
  readonly unitCode: string;
  /** The unit as a person reads it. */
  readonly unit: string;
  /** Inclusive range of what a sound probe can send. */
  readonly low: number;
  readonly high: number;
  /** as it is shown */
  readonly decimals: number;
  /** smallest step that is published, see `toResolution` */
  readonly resolution: number;
  /** its name among the series of a place, unit last */
  readonly series: string;
  /** it has a place of its own on the page; the others are listed plainly */
  readonly ownPlace: boolean;
  /** it may be sent as on or off */
  readonly onOff?: true;
  /** words in the column of a file or the key of a message that mean it, in lower case; common practice, no source */
  readonly words: RegExp;
};

/** What is drawn and read on a page over time. */
type SeriesQuantity = {
  readonly name: string;
  readonly unit: string;
  readonly decimals: number;
  /** smallest step that is published, see `toResolution` */
  readonly resolution: number;
};

const TEMPERATURE = {
  unitCode: 'Cel',
  unit: '°C',
  low: -150,
  high: 150,
  decimals: 1,
  resolution: 0.01,
} as const;
/**
 * Words of a temperature and of positions, in English, German, French, Dutch, Spanish, Italian, Polish and Portuguese.
 * Recalled vocabulary, here and in `words` below: no list of a logger's maker was read.
 */
const WARM = String.raw`(temp|°c|°f|\bt\b|\btc\b)`;
const ROOT = String.raw`(root|soil|substra|medium|bottom|boden|wurzel|\bmat\b|racine|\bsol\b|suelo|ra[ií]z|sustrat|terreno|radic|bodem|wortel|gleb|korze|pod[lł]o[zż]|\bsolo\b)`;
const LEAF = '(leaf|blatt|feuille|hoja|fogli|blad|li[sś][cć]|folha)';
const WALL = '(wall|glas|pane|wand|paroi|vitre|pared|vidri|parete|vetro|muur|[sś]cian|szyb|vidro)';
const OUTSIDE = '(outside|outdoor|aussen|außen|ext[eé]ri|dehors|estern|buiten|zewn)';

/** Both occur, in either order. */
const both = (one: string, other: string) => new RegExp(`${one}.*${other}|${other}.*${one}`);

/**
 * Every quantity a probe can measure, by `<position>/<quantity>`, in the order in which words are tried. Humidity is
 * accepted up to 105 %RH because chips overshoot when wet; whatever is derived from it takes a value above 100 as 100.
 */
export const PROBE_QUANTITIES = {
  'root/temperature': {
    ...TEMPERATURE,
    name: 'Root-zone temperature',
    series: 'rootZoneTemperatureC',
    ownPlace: true,
    words: both(ROOT, WARM),
  },
  'leaf/temperature': {
    ...TEMPERATURE,
    name: 'Leaf temperature',
    series: 'leafTemperatureC',
    ownPlace: false,
    words: both(LEAF, WARM),
  },
  'wall/temperature': {
    ...TEMPERATURE,
    name: 'Wall temperature',
    series: 'wallTemperatureC',
    ownPlace: false,
    words: both(WALL, WARM),
  },
  'outside/temperature': {
    ...TEMPERATURE,
    name: 'Outside temperature',
    series: 'outsideTemperatureC',
    ownPlace: false,
    words: both(OUTSIDE, WARM),
  },
  'air/temperature': {
    ...TEMPERATURE,
    name: 'Air temperature',
    series: 'airTemperatureC',
    ownPlace: true,
    words: new RegExp(WARM),
  },
  'leaf/wetness': {
    name: 'Leaf wetness',
    unitCode: '/',
    unit: '',
    low: 0,
    high: 1,
    decimals: 2,
    resolution: 0.01,
    series: 'leafWetness',
    ownPlace: false,
    words: /leaf.?wet|wetness|\bwet\b|n[aä]sse|mouillage|humecta|bladnat|mojad|bagnatura|zwil[zż]|molhament/,
  },
  'medium/moisture': {
    name: 'Moisture of the medium, by volume',
    unitCode: '%',
    unit: '%',
    low: 0,
    high: 100,
    decimals: 1,
    resolution: 0.1,
    series: 'mediumMoisturePct',
    ownPlace: false,
    words: new RegExp(
      `${both(ROOT, '(moist|humid|feucht|humed|umid|vocht|wilgot|water)').source}|moist|\\bvwc\\b`,
    ),
  },
  'air/humidity': {
    name: 'Relative humidity',
    unitCode: '%RH',
    unit: '%RH',
    low: 0,
    high: 105,
    decimals: 1,
    resolution: 0.1,
    series: 'relativeHumidityPct',
    ownPlace: true,
    words: /humid|feucht|humedad|umid|vochtig|wilgotn|fuktighet|\brh\b|\brf\b|\bhr\b|\bur\b|\brv\b|hum\b/,
  },
  'light/ppfd': {
    name: 'Photon flux density, 400–700 nm',
    unitCode: 'umol/m2/s',
    unit: 'µmol m⁻² s⁻¹',
    low: 0,
    high: 4000,
    decimals: 0,
    resolution: 0.1,
    series: 'ppfdUmolM2S',
    ownPlace: true,
    words: /ppfd|\bpar\b/,
  },
  'light/illuminance': {
    name: 'Illuminance',
    unitCode: 'lx',
    unit: 'lx',
    low: 0,
    high: 200_000,
    decimals: 0,
    resolution: 1,
    series: 'illuminanceLx',
    ownPlace: true,
    words:
      /light|lux|\blx\b|ill?umin|licht|beleucht|lumi[eè]re|luminos|[eé]clairement|\bluz\b|\bluce\b|[sś]wiat[lł]|o[sś]wietl/,
  },
  'mist/valve': {
    name: 'Mist valve',
    unitCode: '/',
    unit: '',
    low: 0,
    high: 1,
    decimals: 0,
    resolution: 0.01,
    series: 'mistValve',
    ownPlace: false,
    onOff: true,
    words:
      /valve|mist|ventil\b|ventiel|v[aá]lvula|\bvanne\b|valvola|\bklep\b|zaw[oó]r|nebul|nebel|nevel|brumis|zamg[lł]aw/,
  },
  'heat/power': {
    name: 'Heating power',
    unitCode: 'W',
    unit: 'W',
    low: 0,
    high: 100_000,
    decimals: 0,
    resolution: 1,
    series: 'heatPowerW',
    ownPlace: false,
    words: /power|watt|leistung|pot[eê]ncia|puissance|potenza|vermogen|\bmoc\b/,
  },
  'battery/level': {
    name: 'Battery level',
    unitCode: '%EL',
    unit: '%',
    low: 0,
    high: 100,
    decimals: 0,
    resolution: 1,
    series: 'batteryLevelPct',
    ownPlace: false,
    words: /batt|akku|bater[ií]/,
  },
} as const satisfies Record<string, ProbeQuantity>;

export type ProbeQuantityName = keyof typeof PROBE_QUANTITIES;
export type MeasuredSeriesName = (typeof PROBE_QUANTITIES)[ProbeQuantityName]['series'];

export const PROBE_QUANTITY_NAMES = Object.keys(PROBE_QUANTITIES) as ProbeQuantityName[];

/** What a probe measures, by the name of its series. */
export const MEASURED_BY = Object.fromEntries(
  PROBE_QUANTITY_NAMES.map((name) => [PROBE_QUANTITIES[name].series, name]),
) as Readonly<Record<MeasuredSeriesName, ProbeQuantityName>>;

const MEASURED_SERIES = Object.fromEntries(
  PROBE_QUANTITY_NAMES.map((of) => {
    const { series, name, unit, decimals, resolution } = PROBE_QUANTITIES[of];
    return [series, { name, unit, decimals, resolution }];
  }),
) as Readonly<Record<MeasuredSeriesName, SeriesQuantity>>;

/**
 * What follows from others. At 24 °C, 2 %RH is 0.06 kPa, so a deficit is read to 0.01 kPa and never finer. One step of
 * humidity, 0.1 %RH, is 0.003 kPa, 0.02 K of dew point and 0.02 g/kg or g/m³ there: each resolution is the next power
 * of ten above that.
 */
const DERIVED_SERIES = {
  airVpdKpa: { name: 'Vapour pressure deficit of the air', unit: 'kPa', decimals: 2, resolution: 0.01 },
  leafVpdKpa: { name: 'Vapour pressure deficit at the leaf', unit: 'kPa', decimals: 2, resolution: 0.01 },
  dewPointC: { name: 'Dew point', unit: '°C', decimals: 1, resolution: 0.1 },
  wetBulbC: { name: 'Wet bulb', unit: '°C', decimals: 1, resolution: 0.1 },
  humidityRatioGKg: { name: 'Humidity ratio', unit: 'g/kg', decimals: 1, resolution: 0.1 },
  absoluteHumidityGM3: { name: 'Absolute humidity', unit: 'g/m³', decimals: 1, resolution: 0.1 },
} as const satisfies Record<string, SeriesQuantity>;

export type DerivedSeriesName = keyof typeof DERIVED_SERIES;
export type SeriesQuantityName = MeasuredSeriesName | DerivedSeriesName;

/** Quantities a series can be asked for. */
export const SERIES_QUANTITIES: Readonly<Record<SeriesQuantityName, SeriesQuantity>> = {
  ...MEASURED_SERIES,
  ...DERIVED_SERIES,
};

/**
 * A value to the step in which a good probe of its quantity distinguishes values: digits below it are noise, and what is
 * retained on topics would change with every one of them. A step is no accuracy, which is coarser. Steps of temperature
 * (0.01 K) and humidity are about what digital capacitive chips state as step and repeatability, that of illuminance
 * what a light chip counts in; common practice, no source.
 * @param resolution the step, a power of ten, in the unit of the value
 * @returns the nearest multiple of the step
 * @example toResolution(24.037, 0.01) // 24.04
 */
export function toResolution(value: number, resolution: number): number {
  const steps = Math.round(value / resolution);
  return resolution < 1 ? steps / Math.round(1 / resolution) : steps * resolution;
}

/** True for a series that a probe measures itself. */
export function isMeasured(series: SeriesQuantityName): series is MeasuredSeriesName {
  return Object.hasOwn(MEASURED_BY, series);
}

/** Words of what is calculated, or measured by no probe of the list, in the same languages; recalled vocabulary. */
const NOT_MEASURED =
  /dew|taupunkt|ros[eé]e|dauw|roc[ií]o|rugiada|\brosy\b|orvalho|ratio|absolut|assolut|vpd|d[eé]ficit|co2|pressure|druck|pressi|presi[oó]n|ci[sś]nieni|press[aã]o|wet.?bulb|set.?point|index/;

/** Humidity of a position other than the air is none of the air's. */
const OTHER_POSITION = new RegExp([ROOT, LEAF, WALL, OUTSIDE].join('|'));

/**
 * What the words of a column or key mean.
 * @param text as somebody wrote it: camel case, underscores and capitals are words too
 * @returns null where they mean nothing that is measured
 * @example quantityFromWords('soilTemp') // 'root/temperature'
 */
export function quantityFromWords(text: string): ProbeQuantityName | null {
  const words = text
    .replace(/([\p{Ll}])(\p{Lu})/gu, '$1 $2')
    .replaceAll(/[_/.-]/g, ' ')
    .toLowerCase();
  if (NOT_MEASURED.test(words)) return null;
  const found = PROBE_QUANTITY_NAMES.find((name) => PROBE_QUANTITIES[name].words.test(words)) ?? null;
  return found === 'air/humidity' && OTHER_POSITION.test(words) ? null : found;
}
