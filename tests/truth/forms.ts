import { readFileSync } from 'node:fs';
import { celsiusFromFahrenheit, celsiusFromKelvin } from '../../shared/quantities.ts';
import { type PublishedRow, readerOf, rowsSchema } from './row.ts';

/** A saturation vapour pressure over water that this project does not use. */
export type Form = {
  readonly name: string;
  readonly saturationPa: (celsius: number) => number;
  /** Coefficients recalled, not read. */
  readonly recalled: boolean;
};

const magnus = (hPa: number, factor: number, shiftC: number) => (celsius: number) =>
  100 * hPa * Math.exp((factor * celsius) / (celsius + shiftC));

/** IAPWS-IF97 eq. 30; its printed check value at 300 K is in other-forms.json. */
function if97Pa(celsius: number): number {
  const T = celsius + 273.15;
  const v = T - 0.23855557567849 / (T - 650.17534844798);
  const a = v * v + 1167.0521452767 * v - 724213.16703206;
  const b = -17.073846940092 * v * v + 12020.82470247 * v - 3232555.0322333;
  const c = 14.91510861353 * v * v - 4823.2657361591 * v + 405113.40542057;
  return 1e6 * ((2 * c) / (-b + Math.sqrt(b * b - 4 * a * c))) ** 4;
}

function sonntagPa(celsius: number): number {
  const T = celsius + 273.15;
  return Math.exp(
    -6096.9385 / T + 21.2409642 - 2.711193e-2 * T + 1.673952e-5 * T * T + 2.433502 * Math.log(T),
  );
}

export const FORMS = {
  if97: { name: 'IAPWS-IF97 eq. 30', saturationPa: if97Pa, recalled: false },
  sonntag1990: { name: 'Sonntag (1990)', saturationPa: sonntagPa, recalled: true },
  buck1981: { name: 'Buck (1981)', saturationPa: magnus(6.1121, 17.502, 240.97), recalled: false },
  'tetens-fao56': {
    name: 'Tetens, as in FAO-56',
    saturationPa: magnus(6.108, 17.27, 237.3),
    recalled: false,
  },
  bolton1980: { name: 'Bolton (1980)', saturationPa: magnus(6.112, 17.67, 243.5), recalled: false },
  'magnus-wmo8': {
    name: 'Magnus, as in WMO-No. 8',
    saturationPa: magnus(6.112, 17.62, 243.12),
    recalled: false,
  },
} as const satisfies Record<string, Form>;

const PA_IN: Readonly<Record<string, number>> = { Pa: 1, hPa: 100, kPa: 1000 };
const forms: Readonly<Record<string, Form>> = FORMS;

/** Evaluates every row of other-forms.json with the form it belongs to. */
export function evaluateFormRows(): { readonly row: PublishedRow; readonly error: number }[] {
  const text = readFileSync(new URL('./other-forms.json', import.meta.url), 'utf8');
  return rowsSchema.parse(JSON.parse(text)).map((row) => {
    const form = forms[row.applies_to];
    const unitPa = PA_IN[row.unit];
    if (form === undefined || unitPa === undefined) throw new Error(`${row.id}: no form computes this`);
    return { row, error: Math.abs(form.saturationPa(celsiusOf(row)) / unitPa - row.expected) };
  });
}

function celsiusOf(row: PublishedRow): number {
  const read = readerOf(row);
  if ('t_k' in row.inputs) return celsiusFromKelvin(read('t_k'));
  return 't_f' in row.inputs ? celsiusFromFahrenheit(read('t_f')) : read('t_c');
}
