import type { AlarmStep } from '../../domain/alarms/record.ts';
import { visibleText } from '../../domain/ingest/payload-start.ts';
import type { Clock, Log, Store } from '../../ports.ts';
import { type AnnunciatorSettings, keepStep } from '../notify/annunciate.ts';
import { installationStep, type Trouble } from '../notify/installation-alarm.ts';
import type { World } from '../world/world.ts';

/** The alarms about a mistake of our own that was survived. */
const RULES = ['message-set-aside', 'monitoring-fault'] as const;
/** So long after the last time such an alarm clears, ms: whoever looks at it next morning still finds what recurs. PROPOSAL. */
export const QUIET_MS: Readonly<Record<(typeof RULES)[number], number>> = {
  'message-set-aside': 60 * 60_000,
  'monitoring-fault': 10 * 60_000,
};
/** Most that are remembered, and most that an alarm names; most characters of what and why. */
export const MOST_TROUBLES = 50;
const MOST_NAMED = 5;
const MAX_CHARS = 200;

type Known = Trouble & { readonly lastMs: number };
type NewTrouble = {
  readonly rule: (typeof RULES)[number];
  readonly what: string;
  readonly cause: unknown;
};

export type Troubles = ReturnType<typeof createTroubles>;

/** Why something failed, in few characters that can be shown anywhere. */
export function causeText(cause: unknown): string {
  return visibleText(cause instanceof Error ? cause.message : String(cause), MAX_CHARS);
}

/** Remembers mistakes of our own that were survived, bounded, so that an alarm names them while they recur. */
export function createTroubles(deps: { readonly clock: Clock; readonly log: Log; readonly world: World }) {
  const { clock, log, world } = deps;
  const known = new Map(RULES.map((rule) => [rule, before(world, rule, clock.nowMs())]));
  return {
    note({ rule, what, cause }: NewTrouble) {
      const nowMs = clock.nowMs();
      const troubles = known.get(rule) ?? new Map<string, Known>();
      const shown = visibleText(what, MAX_CHARS);
      const one = troubles.get(shown);
      if (!one) log.error('something failed and was survived', { what: shown, error: causeText(cause) });
      const { sinceMs, detail } = one ?? { sinceMs: nowMs, detail: causeText(cause) };
      troubles.delete(shown);
      troubles.set(shown, { what: shown, sinceMs, detail, lastMs: nowMs });
      const [oldest] = troubles.keys();
      if (troubles.size > MOST_TROUBLES && oldest !== undefined) troubles.delete(oldest);
    },
    /** The steps that their alarms are due; none when nothing changed. */
    steps(): AlarmStep[] {
      const nowMs = clock.nowMs();
      return RULES.flatMap((rule) => {
        const troubles = known.get(rule) ?? new Map<string, Known>();
        for (const { what, lastMs } of troubles.values())
          if (nowMs - lastMs > QUIET_MS[rule]) troubles.delete(what);
        const named = [...troubles.values()].slice(0, MOST_NAMED).map(({ lastMs: _lastMs, ...one }) => one);
        return installationStep(world, { rule, troubles: named, nowMs }) ?? [];
      });
    },
  };
}

/** After a restart an alarm that was active goes on, and clears as if the last of it had been now. */
function before(world: World, rule: NewTrouble['rule'], nowMs: number): Map<string, Known> {
  const { state, facts } = world.alarm({ placeId: null, rule });
  const isActive = state === 'unacknowledged' || state === 'acknowledged';
  const items = isActive && facts?.kind === 'installation' ? facts.items : [];
  return new Map(items.map((item) => [item.what, { ...item, lastMs: nowMs }]));
}

type TroublesContext = {
  readonly world: World;
  readonly store: Store;
  readonly settings: AnnunciatorSettings;
  readonly troubles: Troubles;
  readonly nowMs: number;
};

/**
 * Raises and clears the alarms about them, apart from the turn of the watch, which may be what fails.
 * @returns ids of the alarms that changed, committed
 */
export function troublesTurn({ troubles, ...context }: TroublesContext): string[] {
  const steps = troubles.steps();
  if (steps.length === 0) return [];
  try {
    context.store.transaction(() => {
      for (const step of steps) keepStep(step, context);
    });
  } catch (cause) {
    context.world.reload();
    throw cause;
  }
  return steps.map(({ record }) => record.id);
}
