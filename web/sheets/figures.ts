import type { SheetStage } from '../../shared/model/cuttings/sheet.ts';
import { valueAt } from '../common/form.ts';
import { fixed, type TemperatureUnit, temperatureText, temperatureWithUnit } from '../common/format.ts';

type FigureUnit = '' | '°C' | 'kPa' | '%RH' | 'min' | 'h' | 'days' | 'mol m⁻² d⁻¹' | 'µmol m⁻² s⁻¹';

/** A figure of a stage, or a band of two, with the words it has in the table and in the form. */
export type Figure = {
  readonly label: string;
  readonly unit: FigureUnit;
  /** where its figures lie in a stage: one, or from and to */
  readonly paths: readonly [string] | readonly [string, string];
  /** may be left out */
  readonly optional?: true;
};
type FigureGroup = { readonly name: string; readonly figures: readonly Figure[] };

const band = (label: string, path: string): Figure => ({
  label,
  unit: '°C',
  paths: [`${path}.lowC`, `${path}.highC`],
});

/** The figures of a stage in the order of the page; all but the days lie in its targets. */
export const FIGURE_GROUPS: readonly FigureGroup[] = [
  {
    name: 'time',
    figures: [{ label: 'takes', unit: 'days', paths: ['days.low', 'days.high'], optional: true }],
  },
  {
    name: 'root zone',
    figures: [
      band('day', 'targets.rootZone.day'),
      band('night', 'targets.rootZone.night'),
      { label: 'alarm above', unit: '°C', paths: ['targets.alarms.rootZoneCeilingC'], optional: true },
    ],
  },
  {
    name: 'air',
    figures: [
      band('day', 'targets.air.day'),
      band('night', 'targets.air.night'),
      { label: 'ceiling', unit: '°C', paths: ['targets.air.ceilingC'] },
      { label: 'far too cold', unit: '°C', paths: ['targets.alarms.airFarTooColdC'], optional: true },
    ],
  },
  {
    name: 'leaf',
    figures: [
      { label: 'air VPD', unit: 'kPa', paths: ['targets.vpd.lowKpa', 'targets.vpd.highKpa'] },
      { label: 'saturated from', unit: '%RH', paths: ['targets.saturation.relativeHumidityPct'] },
      {
        label: 'alarm when saturated for',
        unit: 'h',
        paths: ['targets.alarms.saturatedHours'],
        optional: true,
      },
      { label: 'mist by day every', unit: 'min', paths: ['targets.mist.everyMinByDay'], optional: true },
      { label: 'mist by night every', unit: 'min', paths: ['targets.mist.everyMinByNight'], optional: true },
    ],
  },
  {
    name: 'light',
    figures: [
      {
        label: 'wanted a day',
        unit: 'mol m⁻² d⁻¹',
        paths: ['targets.light.dailyLowMol', 'targets.light.dailyHighMol'],
        optional: true,
      },
      { label: 'peak', unit: 'µmol m⁻² s⁻¹', paths: ['targets.alarms.peakPpfdUmolM2S'], optional: true },
    ],
  },
  {
    name: 'day and night',
    figures: [
      { label: 'day starts', unit: '', paths: ['targets.dayStart'] },
      { label: 'night starts', unit: '', paths: ['targets.nightStart'] },
      { label: 'bands take', unit: 'min', paths: ['targets.rampMin'], optional: true },
    ],
  },
];

/** What stands in a cell where the stage states nothing. */
const NOTHING = '–';

/** A figure of a stage as it is read: `20.0–25.0 °C`, or a dash where the stage states none. */
export function figureText({ paths, unit }: Figure, stage: SheetStage, reading: TemperatureUnit): string {
  const values = paths.map((path) => valueAt(stage, path));
  if (values.every((value) => value === undefined)) return NOTHING;
  const texts = values.map((value) => valueText(value, unit, reading));
  if (unit === '°C') {
    const last = values.at(-1);
    const highest = typeof last === 'number' ? temperatureWithUnit(last, reading) : NOTHING;
    return texts.length === 1 ? highest : `${texts[0]}–${highest}`;
  }
  const joined = texts[0] === texts[1] ? texts[0] : texts.join('–');
  return unit === '' ? `${joined}` : `${joined}\u00a0${unit}`;
}

function valueText(value: unknown, unit: FigureUnit, reading: TemperatureUnit): string {
  if (typeof value !== 'number') return value === undefined ? NOTHING : String(value);
  if (unit === '°C') return temperatureText(value, reading);
  if (unit === 'kPa') return fixed(value, 2);
  return Number.isInteger(value) ? fixed(value, 0) : fixed(value, 1);
}

/** The name by which the sources of a sheet know a figure of a stage: without the `targets.` of its path. */
export function sourceKey(stage: Pick<SheetStage, 'id'>, path: string): string {
  return `${stage.id}.${path.replace(/^targets\./, '')}`;
}

/** Where a figure comes from: one text, or from and to where they differ. */
export function sourceTexts(
  { paths }: Figure,
  stage: SheetStage,
  sources: Readonly<Record<string, string>>,
): string[] {
  const texts = paths.flatMap((path) => sources[sourceKey(stage, path)] ?? []);
  const [low, high] = texts;
  return texts.length === 2 && low !== high
    ? [`From: ${low}.`, `To: ${high}.`]
    : texts.slice(0, 1).map((text) => `${text}.`);
}
