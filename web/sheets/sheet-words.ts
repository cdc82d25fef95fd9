import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import { KIND_CHOICES, ROOTS_CHOICES } from '../place/forms/set-up.ts';

/** The kind of cutting in plain words. */
export function cuttingWords({ cuttingType }: Pick<Sheet, 'cuttingType'>): string {
  return ROOTS_CHOICES.find(({ value }) => value === cuttingType)?.words ?? cuttingType;
}

/** Where a sheet is meant for: `mist bench or heated case, with bottom heat`. */
export function standsWords({ placeKinds, bottomHeat }: Pick<Sheet, 'placeKinds' | 'bottomHeat'>): string {
  const kinds = KIND_CHOICES.filter(({ value }) => placeKinds.includes(value)).map(({ words }) => words);
  return `${kinds.join(' or ')}, ${bottomHeat ? 'with' : 'without'} bottom heat`;
}

/** Which version of whose: `shipped` or `own, version 3`. */
export function versionWords({ own, version }: Pick<Sheet, 'own' | 'version'>): string {
  return own ? `own, version ${version}` : `shipped, version ${version}`;
}

/** The days all stages are expected to take, in words; null where some stage states none. */
export function daysWords({ stages }: Pick<Sheet, 'stages'>): string | null {
  if (stages.some(({ days }) => days === null)) return null;
  const sum = (end: 'low' | 'high') => stages.reduce((total, { days }) => total + (days?.[end] ?? 0), 0);
  const [low, high] = [sum('low'), sum('high')];
  return low === high
    ? `${low} days from sticking to toned`
    : `${low} to ${high} days from sticking to toned`;
}

/** The sheets of which name, crop or kind of cutting has what was typed, in any case. */
export function sheetsFitting(sheets: readonly Sheet[], typed: string): readonly Sheet[] {
  const wanted = typed.trim().toLowerCase();
  return sheets.filter((sheet) =>
    `${sheet.name} ${sheet.crop} ${cuttingWords(sheet)}`.toLowerCase().includes(wanted),
  );
}
