import type { SheetStage } from '../../shared/model/cuttings/sheet.ts';
import type { Targets } from '../../shared/model/targets.ts';
import type { BodyOf } from '../../shared/routes/call.ts';
import { type AlarmPriority, RULES, type SettableRule } from '../../shared/rules/rules.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import type { TemperatureUnit } from '../common/format.ts';
import { FIGURE_GROUPS, figureText } from '../sheets/figures.ts';

type PlaceChange = BodyOf<'changePlaces'>['changes'][number];

/** What several places get. */
export type Wanted =
  | { readonly kind: 'zone'; readonly zone: string | null }
  /** by their ids; places that stand in none keep theirs */
  | { readonly kind: 'zones'; readonly zoneOf: Readonly<Record<string, string | null>> }
  /** a pattern in whose place of # they are counted */
  | { readonly kind: 'names'; readonly pattern: string; readonly first: number }
  | { readonly kind: 'rename'; readonly find: string; readonly put: string }
  | { readonly kind: 'targets'; readonly targets: Targets }
  | {
      readonly kind: 'alarm';
      readonly rule: SettableRule;
      readonly on: boolean;
      /** null: as the rule has it */
      readonly priority: AlarmPriority | null;
    };

/** One thing that changes at a place. */
type Line = { readonly what: string; readonly from: string; readonly to: string };
export type PlannedPlace = {
  readonly placeId: string;
  readonly name: string;
  /** none: it is so already */
  readonly lines: readonly Line[];
  readonly change: PlaceChange;
  /** brings back what was */
  readonly undo: PlaceChange;
};

type Known = Pick<PlaceSummary, 'id' | 'name' | 'settings' | 'targets'>;

/** What would change at each place, from what to what, in the order given. */
export function planOf(
  places: readonly Known[],
  wanted: Wanted,
  unit: TemperatureUnit,
): readonly PlannedPlace[] {
  return places.map((place, i) => {
    const { id: placeId, name } = place;
    const asked = { ...wanted, index: i };
    const lines = linesOf(place, asked, unit).filter(({ from, to }) => from !== to);
    const part = partOf(place, asked);
    const before = partBefore(place, wanted);
    return { placeId, name, lines, change: { placeId, ...part }, undo: { placeId, ...before } };
  });
}

/** What a place gets that is the so many-th of those chosen, from 0 on. */
type WantedInTurn = Wanted & { readonly index: number };

/** The name a place would have; where nothing would be left of it, the one it has. */
function nameOf(
  before: string,
  wanted: Extract<WantedInTurn, { readonly kind: 'names' | 'rename' }>,
): string {
  const after =
    wanted.kind === 'names'
      ? wanted.pattern.replaceAll('#', String(wanted.first + wanted.index))
      : wanted.find === ''
        ? before
        : before.replaceAll(wanted.find, wanted.put);
  return after.trim() === '' ? before : after.trim();
}

function zoneAfter(
  { id, settings }: Known,
  wanted: Extract<WantedInTurn, { readonly kind: 'zone' | 'zones' }>,
) {
  if (wanted.kind === 'zone') return wanted.zone;
  return id in wanted.zoneOf ? (wanted.zoneOf[id] ?? null) : settings.zone;
}

function linesOf(place: Known, wanted: WantedInTurn, unit: TemperatureUnit): Line[] {
  const { name, settings, targets } = place;
  switch (wanted.kind) {
    case 'zone':
    case 'zones':
      return [{ what: 'zone', from: settings.zone ?? 'none', to: zoneAfter(place, wanted) ?? 'none' }];
    case 'names':
    case 'rename':
      return [{ what: 'name', from: name, to: nameOf(name, wanted) }];
    case 'targets':
      return targetLines(targets, wanted.targets, unit);
    case 'alarm': {
      const { on = true, priority = null } = settings.alarms[wanted.rule] ?? {};
      const words = (is: { on: boolean; priority: AlarmPriority | null }) =>
        is.on ? `on, priority ${is.priority ?? 'as the rule has it'}` : 'off';
      return [{ what: RULES[wanted.rule].name, from: words({ on, priority }), to: words(wanted) }];
    }
  }
}

function targetLines(before: Targets, after: Targets, unit: TemperatureUnit): Line[] {
  const stage = (targets: Targets): SheetStage => ({ id: 'rooting', name: 'rooting', days: null, targets });
  return FIGURE_GROUPS.flatMap(({ name, figures }) =>
    figures.map((figure) => ({
      what: `${name}, ${figure.label}`,
      from: figureText(figure, stage(before), unit),
      to: figureText(figure, stage(after), unit),
    })),
  );
}

function partOf(place: Known, wanted: WantedInTurn): Omit<PlaceChange, 'placeId'> {
  const { name, settings } = place;
  switch (wanted.kind) {
    case 'zone':
    case 'zones':
      return { zone: zoneAfter(place, wanted) };
    case 'names':
    case 'rename':
      return { name: nameOf(name, wanted) };
    case 'targets':
      return { targets: wanted.targets };
    case 'alarm': {
      const { priority: _was, on: _on, ...others } = settings.alarms[wanted.rule] ?? {};
      const { on, priority, rule } = wanted;
      const set = { ...others, ...(on ? {} : { on }), ...(priority === null ? {} : { priority }) };
      const { [rule]: _before, ...rest } = settings.alarms;
      return { alarms: Object.keys(set).length === 0 ? rest : { ...rest, [rule]: set } };
    }
  }
}

function partBefore({ name, settings, targets }: Known, { kind }: Wanted): Omit<PlaceChange, 'placeId'> {
  if (kind === 'zone' || kind === 'zones') return { zone: settings.zone };
  if (kind === 'names' || kind === 'rename') return { name };
  return kind === 'targets' ? { targets } : { alarms: settings.alarms };
}

/** Names that several places would have after a plan, each once. */
export function sameNames(all: readonly Known[], plan: readonly PlannedPlace[]): string[] {
  const planned = new Map(plan.map(({ placeId, change }) => [placeId, change.name]));
  const names = all.map(({ id, name }) => planned.get(id) ?? name);
  return [...new Set(names.filter((name, i) => names.indexOf(name) !== i))];
}

/** The places that change, as the interface takes them; `undo` brings back what was. */
export function ordersOf(plan: readonly PlannedPlace[]) {
  const some = plan.filter(({ lines }) => lines.length > 0);
  return { changes: some.map(({ change }) => change), undo: some.map(({ undo }) => undo) };
}
