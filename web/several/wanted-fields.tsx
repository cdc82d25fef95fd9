import type { ComponentType } from 'preact';
import { useId, useState } from 'preact/hooks';
import type { Sheet, StageId } from '../../shared/model/cuttings/sheet.ts';
import { type AlarmPriority, RULES, SETTABLE_RULES } from '../../shared/rules/rules.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { allSheets } from '../batches/batch-api.ts';
import { useLoaded } from '../common/hooks.ts';
import type { Wanted } from './plan.ts';
import { ZoneBoard } from './zone-board.tsx';
import type { ZoneMoves } from './zone-moves.ts';

const KINDS = [
  ['zone', 'the zone'],
  ['zones', 'zones, by dragging'],
  ['names', 'the names, numbered'],
  ['rename', 'a part of the names'],
  ['sheet', 'the targets, from a sheet'],
  ['place', 'the targets, as another place has them'],
  ['alarm', 'an alarm'],
] as const;
type Kind = (typeof KINDS)[number][0];
type Option = readonly [string, string];

type SelectProps = {
  readonly label: string;
  readonly value: string;
  readonly options: readonly Option[];
  readonly onPick: (value: string) => void;
};

function Select({ label, value, options, onPick }: SelectProps) {
  const id = useId();
  return (
    <p class="row">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={({ currentTarget }) => onPick(currentTarget.value)}>
        {options.map(([one, words]) => (
          <option key={one} value={one}>
            {words}
          </option>
        ))}
      </select>
    </p>
  );
}

type Props = { readonly places: readonly PlaceSummary[]; readonly set: (wanted: Wanted | null) => void };

function ZoneField({ places, set }: Props) {
  const id = useId();
  const zones = [...new Set(places.flatMap(({ settings }) => settings.zone ?? []))];
  return (
    <p class="row">
      <label for={id}>Zone</label>
      <input
        id={id}
        list={`${id}-known`}
        maxLength={64}
        placeholder="none"
        onInput={({ currentTarget }) => set({ kind: 'zone', zone: currentTarget.value.trim() || null })}
      />
      <datalist id={`${id}-known`}>
        {zones.map((zone) => (
          <option key={zone} value={zone} />
        ))}
      </datalist>
    </p>
  );
}

function ZonesField({ places, set }: Props) {
  const [moves, setMoves] = useState<ZoneMoves>({});
  const move = (zoneOf: ZoneMoves) => {
    setMoves(zoneOf);
    set({ kind: 'zones', zoneOf });
  };
  return <ZoneBoard places={places} moves={moves} move={move} />;
}

function NamesField({ set }: Props) {
  const id = useId();
  const [chosen, setChosen] = useState({ pattern: '', first: 1 });
  const pick = (change: Partial<typeof chosen>) => {
    const next = { ...chosen, ...change };
    setChosen(next);
    const isCounted = next.pattern.includes('#') && Number.isSafeInteger(next.first);
    set(isCounted ? { kind: 'names', ...next } : null);
  };
  return (
    <p class="row">
      <label for={id}>Names, with # for the number</label>
      <input
        id={id}
        maxLength={70}
        placeholder="Mist bench #"
        value={chosen.pattern}
        onInput={({ currentTarget }) => pick({ pattern: currentTarget.value })}
      />
      <label for={`${id}-first`}>numbered from</label>
      <input
        id={`${id}-first`}
        type="number"
        min={0}
        max={9_999}
        value={chosen.first}
        onInput={({ currentTarget }) => pick({ first: currentTarget.valueAsNumber })}
      />
    </p>
  );
}

function RenameField({ set }: Props) {
  const id = useId();
  const [chosen, setChosen] = useState({ find: '', put: '' });
  const pick = (change: Partial<typeof chosen>) => {
    const next = { ...chosen, ...change };
    setChosen(next);
    set(next.find === '' ? null : { kind: 'rename', ...next });
  };
  return (
    <p class="row">
      <label for={id}>Replace</label>
      <input
        id={id}
        maxLength={80}
        placeholder="bench-"
        value={chosen.find}
        onInput={({ currentTarget }) => pick({ find: currentTarget.value })}
      />
      <label for={`${id}-put`}>by</label>
      <input
        id={`${id}-put`}
        maxLength={80}
        placeholder="nothing"
        value={chosen.put}
        onInput={({ currentTarget }) => pick({ put: currentTarget.value })}
      />
    </p>
  );
}

function SheetField({ set }: Props) {
  const { value: sheets, problem } = useLoaded<readonly Sheet[]>('sheets', allSheets);
  const [chosen, setChosen] = useState({ sheetId: '', stageId: 'rooting' });
  const pick = (change: Partial<typeof chosen>) => {
    const next = { ...chosen, ...change };
    setChosen(next);
    const stage = sheets?.find(({ id }) => id === next.sheetId)?.stages.find(({ id }) => id === next.stageId);
    set(stage ? { kind: 'targets', targets: stage.targets } : null);
  };
  if (problem) return <p class="problem">The sheets cannot be listed: {problem}</p>;
  if (!sheets) return <p class="waiting">Loading sheets…</p>;
  const stages: readonly (readonly [StageId, string])[] =
    sheets[0]?.stages.map(({ id, name }) => [id, name]) ?? [];
  return (
    <>
      <Select
        label="Sheet"
        value={chosen.sheetId}
        options={[['', 'choose one'], ...sheets.map(({ id, name }): Option => [id, name])]}
        onPick={(sheetId) => pick({ sheetId })}
      />
      <Select label="Stage" value={chosen.stageId} options={stages} onPick={(stageId) => pick({ stageId })} />
    </>
  );
}

function PlaceField({ places, set }: Props) {
  const [from, setFrom] = useState('');
  const pick = (placeId: string) => {
    setFrom(placeId);
    const place = places.find(({ id }) => id === placeId);
    set(place ? { kind: 'targets', targets: place.targets } : null);
  };
  const options = places.map(({ id, name }): Option => [id, name]);
  return <Select label="As at" value={from} options={[['', 'choose one'], ...options]} onPick={pick} />;
}

const PRIORITIES: readonly AlarmPriority[] = ['high', 'medium', 'low'];

function AlarmField({ set }: Props) {
  const [chosen, setChosen] = useState({ rule: '', is: '' });
  const pick = (change: Partial<typeof chosen>) => {
    const next = { ...chosen, ...change };
    setChosen(next);
    const rule = SETTABLE_RULES.find((one) => one === next.rule);
    const priority = PRIORITIES.find((one) => one === next.is) ?? null;
    set(rule ? { kind: 'alarm', rule, on: next.is !== 'off', priority } : null);
  };
  return (
    <>
      <Select
        label="Alarm"
        value={chosen.rule}
        options={[['', 'choose one'], ...SETTABLE_RULES.map((rule): Option => [rule, RULES[rule].name])]}
        onPick={(rule) => pick({ rule })}
      />
      <Select
        label="Set it to"
        value={chosen.is}
        options={[
          ['', 'on, priority as the rule has it'],
          ...PRIORITIES.map((one): Option => [one, `on, priority ${one}`]),
          ['off', 'off'],
        ]}
        onPick={(is) => pick({ is })}
      />
    </>
  );
}

const FIELDS: Readonly<Record<Kind, ComponentType<Props>>> = {
  zone: ZoneField,
  zones: ZonesField,
  names: NamesField,
  rename: RenameField,
  sheet: SheetField,
  place: PlaceField,
  alarm: AlarmField,
};

/** What is wanted as soon as a kind is chosen; nothing where something must be entered first. */
const STARTS: Readonly<Record<string, Wanted>> = {
  zone: { kind: 'zone', zone: null },
  zones: { kind: 'zones', zoneOf: {} },
};

/** What is to be changed, and to what. */
export function WantedFields({ places, set }: Props) {
  const [kind, setKind] = useState<Kind>('zone');
  const Fields = FIELDS[kind];
  const pick = (value: string) => {
    setKind(KINDS.find(([one]) => one === value)?.[0] ?? 'zone');
    set(STARTS[value] ?? null);
  };
  return (
    <>
      <Select label="Change" value={kind} options={KINDS} onPick={pick} />
      <Fields places={places} set={set} />
    </>
  );
}
