/**
 * A published condition under which a disease can start: something to count hours in, never a diagnosis.
 * Cuttings before rooting live in such hours on purpose. The extension sheets ask for film and damp air together;
 * counting either errs to the safe side.
 */
export type WetnessCondition = {
  readonly name: string;
  readonly temperatureLowC: number;
  readonly temperatureHighC: number;
  /** Air at or above this counts as wet. */
  readonly humidityFloorPct: number;
  /** Whether the floor is published with the condition, or stands in for a film where no probe feels the leaf. */
  readonly humidity: 'counts as published' | 'stands in for a film';
  /** Wet hours without a break until infection or spores, at temperatures that were tried. */
  readonly hoursNeeded: readonly { readonly temperatureC: number; readonly hours: number }[];
  readonly source: string;
  readonly mark: 'seen' | 'in part from an unattributed page';
};

/** A leaf-wetness probe at or above this says "wet"; common practice, no source. */
export const WET_FROM = 0.5;
/** Relative humidity at which leaves count as wet where nothing feels them, calibrated outdoors. @source [GHAHREMAN13] */
const FILM_STAND_IN_PCT = 87;

/** Published conditions by id. */
export const DISEASE_WETNESS = {
  'botrytis-geranium-leaves': {
    name: 'grey mould on geranium leaves one week old (Sirjusingh and Sutton 1996)',
    temperatureLowC: 15,
    temperatureHighC: 30,
    humidityFloorPct: FILM_STAND_IN_PCT,
    humidity: 'stands in for a film',
    hoursNeeded: [
      { temperatureC: 15, hours: 6 },
      { temperatureC: 21, hours: 4 },
      { temperatureC: 25, hours: 6 },
      { temperatureC: 30, hours: 6 },
    ],
    source: '[SIRJUSINGH96]',
    mark: 'seen',
  },
  'botrytis-geranium-flowers': {
    name: 'grey mould spores on geranium flowers (Sirjusingh and Sutton 1996)',
    temperatureLowC: 15,
    temperatureHighC: 30,
    humidityFloorPct: FILM_STAND_IN_PCT,
    humidity: 'stands in for a film',
    hoursNeeded: [
      { temperatureC: 15, hours: 8 },
      { temperatureC: 21, hours: 4 },
      { temperatureC: 25, hours: 4 },
      { temperatureC: 30, hours: 4 },
    ],
    source: '[SIRJUSINGH96]',
    mark: 'seen',
  },
  'botrytis-extension': {
    name: 'grey mould (UMass Extension, earlier sheet): a wet film for 8 to 12 h, or air of 93 %RH',
    temperatureLowC: 13,
    temperatureHighC: 24,
    humidityFloorPct: 93,
    humidity: 'counts as published',
    hoursNeeded: [],
    source: '[UMASS-BOTRYTIS]',
    mark: 'seen',
  },
  'botrytis-extension-85': {
    name: 'grey mould (UMass Extension, later sheet): a wet film for 8 to 12 h, or air of 85 %RH',
    temperatureLowC: 13,
    temperatureHighC: 24,
    humidityFloorPct: 85,
    humidity: 'counts as published',
    hoursNeeded: [],
    source: '[UMASS-BOTRYTIS]',
    mark: 'seen',
  },
  'botrytis-ephytia': {
    name: 'grey mould (INRAE e-phytia): air of about 95 %RH',
    temperatureLowC: 17,
    temperatureHighC: 23,
    humidityFloorPct: 95,
    humidity: 'counts as published',
    hoursNeeded: [],
    source: '[EPHYTIA]',
    mark: 'seen',
  },
  'downy-mildew-impatiens': {
    name: 'downy mildew on impatiens: a film (UF IFAS 2013), or 85 %RH where nothing feels the leaf (an unattributed page)',
    temperatureLowC: 10,
    temperatureHighC: 22,
    humidityFloorPct: 85,
    humidity: 'stands in for a film',
    hoursNeeded: [],
    source: '[IDM13]',
    mark: 'in part from an unattributed page',
  },
} as const satisfies Record<string, WetnessCondition>;
