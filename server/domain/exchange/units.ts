import { ACCEPTED_UNITS } from '../../../firmware-contracts/v1/units.ts';
import { PROBE_QUANTITIES } from '../../../shared/quantities.ts';
import { wellKnown } from '../ingest/quantity.ts';

/** How people spell units in the headers of files, without spaces and in lower case, and the code of each. */
const SPELLINGS: Readonly<Record<string, string>> = {
  '°c': 'Cel',
  '℃': 'Cel',
  c: 'Cel',
  degc: 'Cel',
  celsius: 'Cel',
  cel: 'Cel',
  '°f': 'degF',
  '℉': 'degF',
  f: 'degF',
  degf: 'degF',
  fahrenheit: 'degF',
  k: 'K',
  kelvin: 'K',
  '%rh': '%RH',
  'rh%': '%RH',
  rh: '%RH',
  '%rf': '%RH',
  lx: 'lx',
  lux: 'lx',
  'w/m2': 'W/m2',
  'w/m²': 'W/m2',
  'wm⁻²': 'W/m2',
  '%el': '%EL',
  ratio: '/',
  'umol/m2/s': 'umol/m2/s',
  'µmol/m2/s': 'umol/m2/s',
  'µmol/m²/s': 'umol/m2/s',
  'µmolm⁻²s⁻¹': 'umol/m2/s',
  'µmol/(m²s)': 'umol/m2/s',
  'µmol/(m²·s)': 'umol/m2/s',
};

const EXACT: ReadonlySet<string> = new Set(ACCEPTED_UNITS);

/**
 * The code of a unit as somebody spelled it.
 * @param spelled such as "°C", "degF" or "%RH"; empty for a number without unit
 * @param probe name of the probe, which says what a bare "%" is
 * @returns a unit code of readings packs, '' for none, null when it is not known
 */
export function unitCode({ spelled, probe }: { spelled: string; probe: string }): string | null {
  const text = spelled.trim().replaceAll('\u03bc', 'µ');
  if (text === '') return '';
  const known = wellKnown(probe);
  if (text === '%' && known) {
    const own = PROBE_QUANTITIES[known.quantity].unitCode;
    return own.startsWith('%') ? own : null;
  }
  if (EXACT.has(text) && !(text === 'C' || text === 'F')) return text;
  return SPELLINGS[text.replace(/\s/g, '').toLowerCase()] ?? null;
}

/** Codes of the units that readings of a probe may be given in; null when any unit will do. */
export function unitsOf(probe: string): readonly string[] | null {
  const known = wellKnown(probe);
  return known ? [...known.convert.keys()] : null;
}
