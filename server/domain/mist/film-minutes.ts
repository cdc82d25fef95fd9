import { PPFD_LIMITS } from '../../../shared/climate/domain.ts';
import { FILM_AIR_LIMITS, leafFilmDrying, NET_RADIATION_LIMITS } from '../../../shared/climate/leaf-film.ts';
import { radiationTakenUpWM2 } from '../../../shared/climate/light.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import { asFormulasTakeIt, pressureOfKpa } from '../exposures/curves.ts';
import { PHOTOPERIOD_PPFD } from '../exposures/details.ts';

type FilmAir = {
  readonly airTemperatureC: number;
  /** as a probe reads it, 0…105 %RH */
  readonly relativeHumidityPct: number;
  /** null in the dark, and where no light is read */
  readonly ppfdUmolM2S: number | null;
};

/**
 * How long a whole film of water lasts on a leaf of the place, in some air and light: an estimate.
 * @param air temperature 0…60 °C, beyond which nothing is said
 * @returns min; null where it never dries; undefined where nothing can be said
 * @example filmMinutes({ airTemperatureC: 24, relativeHumidityPct: 90, ppfdUmolM2S: null }, settings) // 222
 */
export function filmMinutes(
  { airTemperatureC, relativeHumidityPct, ppfdUmolM2S }: FilmAir,
  settings: PlaceSettings,
): number | null | undefined {
  if (airTemperatureC < FILM_AIR_LIMITS.low || airTemperatureC > FILM_AIR_LIMITS.high) return undefined;
  const { widthM, airSpeedMS, filmUm } = settings.leaf;
  const isLit = ppfdUmolM2S !== null && ppfdUmolM2S >= PHOTOPERIOD_PPFD;
  const gainedWM2 = isLit
    ? radiationTakenUpWM2({
        ppfdUmolM2S: Math.min(ppfdUmolM2S, PPFD_LIMITS.high),
        source: settings.lightSource,
      })
    : 0;
  return leafFilmDrying({
    airTemperatureC,
    relativeHumidityPct: asFormulasTakeIt(relativeHumidityPct),
    pressureKpa: pressureOfKpa(settings),
    leafWidthM: widthM,
    airSpeedMS,
    filmUm,
    wetSides: 1,
    netRadiationWM2: Math.min(gainedWM2, NET_RADIATION_LIMITS.high),
  }).dryingMin;
}
