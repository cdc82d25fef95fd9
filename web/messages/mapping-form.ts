import { pointerOf } from '../../shared/json-pointer.ts';
import type { MappedTime, Mapping, NewMapping } from '../../shared/model/probes/mapping.ts';
import { PROBE_QUANTITIES, quantityFromWords } from '../../shared/quantities.ts';
import { numberOrTyped } from '../common/form.ts';

/** A value of a message as it stands in the form. */
export type ValueDraft = {
  readonly pointer: string;
  /** a well-known name, or '' for another */
  readonly known: string;
  /** distinguishes several of one name; '' for none */
  readonly number: string;
  /** the name where it is another */
  readonly other: string;
  readonly unit: string;
  readonly scale: string;
  readonly offset: string;
  readonly optional: boolean;
};

/** A mapping as it stands in the form. */
export type MappingDraft = {
  readonly filter: string;
  readonly device: { readonly kind: 'named' | 'level'; readonly name: string; readonly level: number };
  /** '' for a place of the device's name */
  readonly placeId: string;
  readonly time: { readonly kind: 'arrival' | 'pointer'; readonly pointer: string; readonly as: MappedTime };
  readonly values: readonly ValueDraft[];
};

export const NEW_DRAFT: MappingDraft = {
  filter: '',
  device: { kind: 'named', name: '', level: 1 },
  placeId: '',
  time: { kind: 'arrival', pointer: '', as: 'rfc3339' },
  values: [],
};

const NUMBERED = /^(.*)\/([1-9][0-9]*)$/;

/** The form of a mapping there is. */
export function draftOf(mapping: Mapping, knownProbes: readonly string[]): MappingDraft {
  const { filter, device, placeId, time, values } = mapping;
  return {
    filter,
    device: { ...NEW_DRAFT.device, ...device },
    placeId: placeId ?? '',
    time: { ...NEW_DRAFT.time, ...time },
    values: values.map(({ pointer, probe, unit, scale, offset, optional }) => ({
      pointer,
      optional,
      unit: unit ?? '',
      scale: String(scale),
      offset: String(offset),
      ...namedIn(probe, knownProbes),
    })),
  };
}

function namedIn(
  probe: string,
  knownProbes: readonly string[],
): Pick<ValueDraft, 'known' | 'number' | 'other'> {
  if (knownProbes.includes(probe)) return { known: probe, number: '', other: '' };
  const [, base = '', number = ''] = NUMBERED.exec(probe) ?? [];
  if (knownProbes.includes(base)) return { known: base, number, other: '' };
  return { known: '', number: '', other: probe };
}

/** The mapping of a form, to be judged by the daemon: what was typed and is no number goes as it was typed. */
export function mappingOfDraft({ filter, device, placeId, time, values }: MappingDraft): NewMapping {
  const mapping = {
    filter: filter.trim(),
    device:
      device.kind === 'level'
        ? { kind: device.kind, level: device.level }
        : { kind: device.kind, name: device.name.trim() },
    placeId: placeId === '' ? null : placeId,
    time: time.kind === 'arrival' ? { kind: time.kind } : time,
    values: values.map(({ pointer, unit, scale, offset, optional, ...name }) => ({
      pointer,
      probe: probeOf(name),
      unit: unit.trim() || null,
      optional,
      scale: numberOrTyped(scale),
      offset: numberOrTyped(offset),
    })),
  };
  // the daemon judges it: a text in the place of a number is refused there, with the field
  return mapping as NewMapping;
}

/** The probe's name of a value in the form. */
export function probeOf({ known, number, other }: Pick<ValueDraft, 'known' | 'number' | 'other'>): string {
  if (known === '') return other.trim();
  return number.trim() === '' ? known : `${known}/${number.trim()}`;
}

/** A value as it is first proposed when it is tapped; numbered where its name is taken. */
export function proposedValue(pointer: string, taken: readonly ValueDraft[]): ValueDraft {
  const key = pointer.split('/').at(-1) ?? '';
  const meant = quantityFromWords(key) ?? 'air/temperature';
  const same = taken.filter(({ known }) => known === meant).length;
  const number = same === 0 ? '' : String(same + 1);
  return {
    pointer,
    known: meant,
    number,
    other: '',
    unit: PROBE_QUANTITIES[meant].unitCode,
    scale: '1',
    offset: '0',
    optional: false,
  };
}

/** The form in which a time seems to be written. */
export function guessedTime(value: unknown): MappedTime {
  const count = typeof value === 'number' ? value : Number(value);
  if (!Number.isFinite(count)) return 'rfc3339';
  // seconds of the year 5138 are milliseconds of 1973
  return count > 1e11 ? 'ms' : 's';
}

/** A part of a message as it is drawn: what can be tapped carries its pointer. */
export type TreeNode = {
  readonly key: string;
  readonly pointer: string;
  /** the value in short; null for what holds others */
  readonly text: string | null;
  readonly children: readonly TreeNode[];
};

/** Most parts of one level that are drawn, and of a text. */
const MOST_CHILDREN = 100;
const MOST_DEPTH = 20;
const MOST_CHARS = 60;

/** A message as a tree. */
export function treeOf(json: unknown, tokens: readonly (string | number)[] = []): TreeNode {
  const key = tokens.length === 0 ? 'the message' : String(tokens.at(-1));
  const node = { key, pointer: pointerOf(tokens) };
  if (typeof json !== 'object' || json === null || tokens.length >= MOST_DEPTH) {
    return { ...node, text: shortText(json), children: [] };
  }
  const entries = Array.isArray(json)
    ? json.map((value, index) => [index, value] as const)
    : Object.entries(json);
  const children = entries.slice(0, MOST_CHILDREN).map(([name, value]) => treeOf(value, [...tokens, name]));
  return { ...node, text: null, children };
}

function shortText(value: unknown): string {
  const text = JSON.stringify(value) ?? '';
  return text.length > MOST_CHARS ? `${text.slice(0, MOST_CHARS)}…` : text;
}

/** The levels of a topic that could be the device's name. */
export function levelsOf(topic: string): { readonly level: number; readonly name: string }[] {
  return topic
    .split('/')
    .map((name, index) => ({ level: index + 1, name }))
    .filter(({ name }) => name !== '');
}

/** The form once a message was picked: a device is proposed where none is named yet. */
export function withPicked(draft: MappingDraft, topic: string): MappingDraft {
  if (draft.device.name !== '' || draft.values.length > 0) return draft;
  const levels = topic.split('/');
  const wild = draft.filter.split('/').indexOf('+');
  const name = levels.toReversed().find((level) => /^[A-Za-z0-9_.-]{1,64}$/.test(level)) ?? '';
  const kind = wild >= 0 ? 'level' : 'named';
  return { ...draft, device: { kind, name, level: wild >= 0 ? wild + 1 : 1 } };
}

/** What each pointer of the form is read as, in words. */
export function readAsOf(
  { values, time }: MappingDraft,
  wordsOf: (known: string) => string | undefined,
): ReadonlyMap<string, string> {
  const read = values.map((value): [string, string] => {
    const words = wordsOf(value.known) ?? probeOf(value);
    return [value.pointer, value.number === '' ? words : `${words} ${value.number}`];
  });
  return new Map(time.kind === 'pointer' ? [...read, [time.pointer, 'the time']] : read);
}

/** Probes that are known already and would be read by this too, as device and name. */
export function joinedProbes(
  { values }: MappingDraft,
  device: string | null,
  probes: readonly { readonly device: string; readonly name: string }[],
): string[] {
  const names = new Set(values.map(probeOf));
  return probes
    .filter((probe) => probe.device === device && names.has(probe.name))
    .map((probe) => `${probe.device}/${probe.name}`);
}
