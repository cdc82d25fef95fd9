import { airVpdKpa } from '../../shared/climate/humidity.ts';
import { LX_PER_UMOL, UMOL_PER_SOLAR_J } from '../../shared/climate/light.ts';
import { standardPressureKpa } from '../../shared/climate/pressure.ts';
import { saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { FORMS } from './forms.ts';

/** How far another published formulation is from the one used here, and why this one. */
export type Difference = {
  readonly quantity: string;
  readonly other: string;
  readonly recalled: boolean;
  /** Other less ours, as a part of ours, where it is largest. */
  readonly worst: number;
  readonly at: string;
};

export const WHY = {
  'saturation vapour pressure, 5 to 45 °C':
    'Hyland and Wexler (1983): has its own branch over ice, and psychrolib checks it on a whole grid. IF97 and ' +
    'Sonntag would do as well. None of it matters beside a sensor: 2 %RH is 20 % of the deficit at 90 %RH.',
  'vapour pressure deficit in air of 24 °C and 90 %RH':
    'the pure-phase value, as in FAO-56. The enhancement factor cancels in relative humidity and would raise the ' +
    'deficit by its own part.',
  'air pressure, −500 to 3000 m':
    'the standard atmosphere of ASHRAE, at 15 °C where the FAO takes 20 °C; weather moves the real pressure by 3 %.',
  'PPFD in sunlight':
    'Thimijan and Heins (1983), the table most growers have; from W/m² the middle of what is published. Both are ' +
    'settings, and what comes of them is shown as an estimate.',
} as const;

type Quantity = keyof typeof WHY;

/** Every other formulation compared, grouped by quantity. */
export function differences(): readonly (Difference & { readonly quantity: Quantity })[] {
  return [...saturationForms(), ...enhancement(), pressure(), ...light()];
}

function saturationForms() {
  return Object.values(FORMS).map(({ name, recalled, saturationPa }) => {
    const seen = worstOver({ from: 5, to: 45, step: 0.1 }, (celsius) => {
      const oursPa = saturationPressureOverWaterKpa(celsius) * 1000;
      return saturationPa(celsius) / oursPa - 1;
    });
    return {
      quantity: 'saturation vapour pressure, 5 to 45 °C' as const,
      other: name,
      recalled,
      worst: seen.worst,
      at: `${seen.at.toFixed(1)} °C`,
    };
  });
}

function enhancement() {
  const vpdKpa = airVpdKpa({ airTemperatureC: 24, relativeHumidityPct: 90 });
  const hPa = 1013.25;
  const factors = [
    { other: 'with the factor of WMO-No. 8', factor: 1.0016 + 3.15e-6 * hPa - 0.074 / hPa },
    { other: 'with the factor of Buck (1981)', factor: 1.0007 + 3.46e-6 * hPa },
  ];
  return factors.map(({ other, factor }) => ({
    quantity: 'vapour pressure deficit in air of 24 °C and 90 %RH' as const,
    other,
    recalled: other.includes('Buck'),
    worst: factor - 1,
    at: `${((factor - 1) * vpdKpa).toFixed(4)} kPa of ${vpdKpa.toFixed(4)}`,
  }));
}

function pressure() {
  const seen = worstOver({ from: -500, to: 3000, step: 10 }, (altitudeM) => {
    const faoKpa = 101.3 * ((293 - 0.0065 * altitudeM) / 293) ** 5.26;
    return faoKpa / standardPressureKpa(altitudeM) - 1;
  });
  return {
    quantity: 'air pressure, −500 to 3000 m' as const,
    other: 'FAO-56 eq. 7',
    recalled: false,
    worst: seen.worst,
    at: `${seen.at.toFixed(0)} m`,
  };
}

function light() {
  const quantity = 'PPFD in sunlight' as const;
  const solar = [
    { other: 'from W/m²: 0.5 × 4.6 µmol/J (R package bigleaf)', umolPerJ: 0.5 * 4.6, recalled: false },
    { other: 'from W/m²: 2.02 µmol/J, near Meek et al. (1984)', umolPerJ: 2.02, recalled: true },
    { other: 'from W/m²: 1800 µmol for 950 W (Coombs et al. 1985)', umolPerJ: 1800 / 950, recalled: false },
  ].map(({ other, umolPerJ, recalled }) => ({
    quantity,
    other,
    recalled,
    worst: umolPerJ / UMOL_PER_SOLAR_J - 1,
    at: `against ${UMOL_PER_SOLAR_J} µmol/J`,
  }));
  const lux = {
    quantity,
    other: 'from lux: 55.18 lx per µmol (Deitzer 1994)',
    recalled: false,
    worst: LX_PER_UMOL.daylight / 55.18 - 1,
    at: `against ${LX_PER_UMOL.daylight} lx`,
  };
  return [...solar, lux];
}

type Span = { readonly from: number; readonly to: number; readonly step: number };

function worstOver({ from, to, step }: Span, part: (at: number) => number) {
  let seen = { worst: 0, at: from };
  for (let index = 0; index <= Math.round((to - from) / step); index += 1) {
    const at = from + index * step;
    const worst = part(at);
    if (Math.abs(worst) > Math.abs(seen.worst)) seen = { worst, at };
  }
  return seen;
}
