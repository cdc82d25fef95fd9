import type { Sheet } from '../../shared/model/sheet.ts';
import type { BodyOf } from '../../shared/routes/call.ts';
import {
  celsiusTyped,
  errorsByPath,
  type FormValues,
  isRecord,
  numberOrTyped,
  typedTemperature,
  valueAt,
} from '../common/form.ts';
import type { TemperatureUnit } from '../common/format.ts';
import { FIGURE_GROUPS, type Figure, sourceKey } from './figures.ts';

const FIGURES = FIGURE_GROUPS.flatMap(({ figures }) => figures);

/** The field of a figure of the stage with this index. */
export function fieldOf(stage: number, path: string): string {
  return `stages.${stage}.${path}`;
}

const pathsOf = (stages: number): string[] =>
  Array.from({ length: stages }, (_, stage) =>
    FIGURES.flatMap(({ paths }) => paths.map((path) => fieldOf(stage, path))),
  ).flat();

/** Fields of a sheet that are no figures. */
const PLAIN_FIELDS = ['name', 'crop', 'cuttingType', 'bottomHeat', 'placeKinds'] as const;

/** A sheet as text for its inputs, one entry a field; `placeKinds` as kinds with commas between them. */
export function formOf(sheet: Sheet, unit: TemperatureUnit = 'C'): FormValues {
  const { name, crop, cuttingType, bottomHeat, placeKinds } = sheet;
  const figures = sheet.stages.flatMap((stage, i) =>
    FIGURES.flatMap(({ paths, unit: own }) =>
      paths.map((path) => {
        const value = valueAt(stage, path);
        const text = own === '°C' ? typedTemperature(value, unit) : String(value ?? '');
        return [fieldOf(i, path), text] as const;
      }),
    ),
  );
  const plain = { name, crop, cuttingType, bottomHeat: String(bottomHeat), placeKinds: placeKinds.join(',') };
  return { ...plain, ...Object.fromEntries(figures), source: '' };
}

/**
 * The inputs as the body of a sheet: numbers where a number can be read, else what was typed, for the daemon to judge.
 * An optional figure that was emptied is left out. A figure that was changed has the source that was typed; without one
 * the daemon says that it is an own figure.
 * @param inForce the sheet that is changed; what has no input here stays as it is
 * @param unit in which temperatures were typed; they are kept in °C
 */
export function bodyOf(values: FormValues, inForce: Sheet, unit: TemperatureUnit = 'C'): BodyOf<'addSheet'> {
  const stages = structuredClone(inForce.stages) as unknown as Record<string, unknown>[];
  const sources: Record<string, string> = { ...inForce.sources };
  const before = formOf(inForce, unit);
  for (const [i, stage] of stages.entries())
    for (const figure of FIGURES) {
      setFigure(
        stage,
        figure,
        figure.paths.map((path) => values[fieldOf(i, path)] ?? ''),
        unit,
      );
      for (const path of figure.paths) {
        const field = fieldOf(i, path);
        if (values[field] === before[field]) continue;
        const key = sourceKey(inForce.stages[i] ?? { id: 'sticking' }, path);
        delete sources[key];
        const typed = values['source']?.trim() ?? '';
        if (typed !== '' && valueAt(stage, path) !== undefined) sources[key] = typed;
      }
    }
  const { name = '', crop = '', cuttingType, bottomHeat, placeKinds = '' } = values;
  return {
    name,
    crop,
    cuttingType,
    bottomHeat: bottomHeat === 'true',
    placeKinds: placeKinds.split(',').filter((kind) => kind !== ''),
    stages,
    sources,
  } as unknown as BodyOf<'addSheet'>;
}

function setFigure(
  stage: Record<string, unknown>,
  figure: Figure,
  typed: readonly string[],
  unit: TemperatureUnit,
): void {
  if (figure.optional && typed.every((text) => text.trim() === '')) {
    for (const path of figure.paths) leaveOut(stage, path);
    return;
  }
  for (const [i, path] of figure.paths.entries()) {
    const text = typed[i] ?? '';
    if (figure.unit === '°C') put(stage, path, celsiusTyped(text, unit, valueAt(stage, path)));
    else put(stage, path, figure.unit === '' ? text.trim() : numberOrTyped(text));
  }
}

function put(stage: Record<string, unknown>, path: string, value: unknown): void {
  const keys = path.split('.');
  const last = keys.pop() as string;
  let at = stage;
  for (const key of keys) {
    if (!isRecord(at[key])) at[key] = {};
    at = at[key] as Record<string, unknown>;
  }
  at[last] = value;
}

/** Takes a figure away, and the group it stood in once that is empty: no days are `null`, all else is not stated. */
function leaveOut(stage: Record<string, unknown>, path: string): void {
  const [group = '', ...rest] = path.split('.');
  if (group === 'days') {
    stage['days'] = null;
    return;
  }
  const inner = stage[group];
  if (!isRecord(inner)) return;
  if (rest.length === 1) delete inner[rest[0] as string];
  else leaveOut(inner, rest.join('.'));
  const [next = ''] = rest;
  if (isRecord(inner[next]) && Object.keys(inner[next]).length === 0) delete inner[next];
}

/** The daemon's objections, each beside its field; what fits no field is left to the message of the error. */
export function fieldErrors(details: unknown, stages: number): Record<string, string> {
  return errorsByPath(details, [...PLAIN_FIELDS, ...pathsOf(stages)]);
}

/** What a file says, as the body of a sheet. @throws Error in words for people where it is no JSON */
export function sheetOfFile(text: string): BodyOf<'addSheet'> {
  try {
    return JSON.parse(text) as BodyOf<'addSheet'>;
  } catch {
    throw new Error(
      'The file is no JSON: it must be a sheet that was downloaded here or written in the same form.',
    );
  }
}
