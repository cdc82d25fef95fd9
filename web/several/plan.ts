import type { SheetStage } from '../../shared/model/sheet.ts';
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
  return places.map((place) => {
    const { id: placeId, name } = place;
    const lines = linesOf(place, wanted, unit).filter(({ from, to }) => from !== to);
    const part = partOf(place, wanted);
    const before = partBefore(place, wanted);
    return { placeId, name, lines, change: { placeId, ...part }, undo: { placeId, ...before } };
  });
}

function linesOf({ settings, targets }: Known, wanted: Wanted, unit: TemperatureUnit): Line[] {
  switch (wanted.kind) {
    case 'zone':
      return [{ what: 'zone', from: settings.zone ?? 'none', to: wanted.zone ?? 'none' }];
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

function partOf({ settings }: Known, wanted: Wanted): Omit<PlaceChange, 'placeId'> {
  switch (wanted.kind) {
    case 'zone':
      return { zone: wanted.zone };
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

function partBefore({ settings, targets }: Known, { kind }: Wanted): Omit<PlaceChange, 'placeId'> {
  if (kind === 'zone') return { zone: settings.zone };
  return kind === 'targets' ? { targets } : { alarms: settings.alarms };
}

/** The places that change, as the interface takes them; `undo` brings back what was. */
export function ordersOf(plan: readonly PlannedPlace[]) {
  const some = plan.filter(({ lines }) => lines.length > 0);
  return { changes: some.map(({ change }) => change), undo: some.map(({ undo }) => undo) };
}
