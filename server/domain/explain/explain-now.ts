import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import { medianOf } from '../../../shared/exposure/sample.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../../shared/quantities.ts';
import type { ExplainedInput, Explanation, PlaceNow } from '../../../shared/wire/http.ts';
import { ingredientsOf, leafOffsetFrom, pressureOfKpa } from '../exposures/curves.ts';
import { counting } from '../present/now.ts';
import { errorRange } from './error-range.ts';
import { valueFormula } from './formulas.ts';
import { given, leafAssumed, type NamedReading, newestReadings } from './parts.ts';

type NowToExplain = {
  readonly quantity: SeriesQuantityName;
  /** what is shown of the place, as `placeNow` has it of the same readings */
  readonly quantities: PlaceNow['quantities'];
  readonly readings: readonly NamedReading[];
  readonly settings: PlaceSettings;
  /** value of the sources' bibliography by key */
  readonly sourceText: (key: string) => string;
};

/** Where a present value of a place comes from: formula, readings, error and assumptions. */
export function explainNow(asked: NowToExplain): Explanation {
  const { quantity, quantities, settings } = asked;
  const { formula, source } = valueFormula(quantity);
  const leaf = counting(asked.readings.filter((one) => one.quantity === 'leaf/temperature'));
  const leafTemperatureC = medianOf(leaf.map(({ value }) => value));
  return {
    of: `now.${quantity}`,
    name: SERIES_QUANTITIES[quantity].name,
    value: quantities[quantity]?.value ?? null,
    unit: SERIES_QUANTITIES[quantity].unit,
    formula,
    source: { key: source, text: asked.sourceText(source) },
    inputs: [...readingInputs(asked), ...settingInputs(asked)],
    coverage: null,
    errorRange: errorRange({ quantity, quantities, settings, leafTemperatureC }),
    assumptions: assumptionsOf(asked),
  };
}

/** Readings that made the value, and no others: of each position those that count, lux only where no PPFD is read. */
function readingInputs(asked: NowToExplain): ExplainedInput[] {
  const ingredients = ingredientsOf(asked.quantity);
  const isLit = asked.quantity !== 'leafVpdKpa' || leafFrom(asked) === 'light';
  const spare = has(asked, 'light/ppfd') ? 'light/illuminance' : 'light/ppfd';
  const wanted = ingredients.filter(
    (name) => !name.startsWith('light/') || (isLit && (name !== spare || ingredients.length === 1)),
  );
  return newestReadings(wanted, asked.readings);
}

function settingInputs(asked: NowToExplain): ExplainedInput[] {
  const { quantity, settings } = asked;
  if (quantity === 'wetBulbC' || quantity === 'humidityRatioGKg') {
    return [given('Air pressure', Number(pressureOfKpa(settings).toFixed(3)), 'kPa')];
  }
  if (quantity === 'leafVpdKpa') return leafInputs(asked);
  if (quantity !== 'ppfdUmolM2S' || has(asked, 'light/ppfd')) return [];
  const { lightSource } = settings;
  return [given(`Illuminance to one µmol, ${lightSource}`, LX_PER_UMOL[lightSource], 'lx')];
}

/** What is known of how warm the leaf is. */
function leafFrom({ readings, settings }: NowToExplain): ReturnType<typeof leafOffsetFrom> {
  const records = Object.fromEntries(readings.map(({ quantity }) => [quantity, []]));
  return leafOffsetFrom({ records, settings });
}

function leafInputs(asked: NowToExplain): ExplainedInput[] {
  const { settings } = asked;
  const from = leafFrom(asked);
  if (from === 'probe') return [];
  if (from !== 'light') return [given('Leaf less air, assumed', settings.leafOffsetK ?? 0, 'K')];
  return [
    given('Leaf width', Number((settings.leaf.widthM * 100).toFixed(2)), 'cm'),
    given('Air speed', settings.leaf.airSpeedMS, 'm/s'),
  ];
}

function has({ readings }: NowToExplain, quantity: string): boolean {
  return readings.some((reading) => reading.quantity === quantity);
}

function assumptionsOf(asked: NowToExplain): string[] {
  const { quantity, quantities, settings } = asked;
  const assumptions: string[] = [];
  if (quantity === 'leafVpdKpa') assumptions.push(...leafAssumed(leafFrom(asked), settings));
  if (quantity === 'ppfdUmolM2S' && !has(asked, 'light/ppfd')) {
    assumptions.push(
      `estimated from illuminance as ${settings.lightSource}; other light gives other figures`,
    );
  }
  if ((quantity === 'wetBulbC' || quantity === 'humidityRatioGKg') && settings.altitudeM === null) {
    assumptions.push('no altitude stated: sea level');
  }
  if (quantity.endsWith('VpdKpa')) assumptions.push('pure water vapour: no enhancement factor of moist air');
  for (const { quantity: read, device, name, value, raw = null } of asked.readings) {
    if (raw === null || !ingredientsOf(quantity).some((ingredient) => ingredient === read)) continue;
    assumptions.push(`corrected: ${device}/${name} read ${shown(raw)} and counts as ${shown(value)}`);
  }
  if (quantities[quantity]?.state === 'stale') {
    assumptions.push('out of date: no probe of this position reports any more');
  }
  return assumptions;
}

function shown(value: number): number {
  return Number(value.toFixed(2));
}
