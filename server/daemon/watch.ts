import { Fault } from '../../shared/faults.ts';
import { mustBeKept, withTimeAtCeiling } from '../domain/alarms/ceiling.ts';
import { type AlarmRecord, type AlarmStep, isShelved, withoutShelving } from '../domain/alarms/record.ts';
import { withSilence } from '../domain/alarms/silence.ts';
import type { Store } from '../ports.ts';
import { type AnnunciatorSettings, keepStep } from './annunciate.ts';
import type { World } from './world.ts';

export type WatchContext = {
  readonly world: World;
  readonly store: Store;
  readonly settings: AnnunciatorSettings;
  readonly nowMs: number;
  readonly startedMs: number;
};

/**
 * What passes with time alone: on-delays that run out, probes that fall silent, shelving that ends.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then, and the next turn finds the same to do
 */
export function watchTurn(context: WatchContext): string[] {
  const { world, store, settings, nowMs } = context;
  const steps = [...world.places.keys()].flatMap((placeId) => stepsOf(placeId, context));
  if (steps.length === 0) return [];
  try {
    store.transaction(() => {
      for (const step of steps) keepStep(step, { world, store, settings, nowMs });
    });
  } catch (cause) {
    world.reload();
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({
      code: 'store-failed',
      message: `The database could not keep an alarm: ${why}.`,
      cause,
    });
  }
  return steps.map(({ record }) => record.id);
}

function stepsOf(placeId: string, context: WatchContext): AlarmStep[] {
  const ceiling = context.world.alarm({ placeId, rule: 'air-over-ceiling' });
  const silence = context.world.alarm({ placeId, rule: 'no-data' });
  const shelved = [ceiling, silence].filter((record) => record.shelved && !isShelved(record, context));
  if (shelved.length > 0) return shelved.map(withoutShelving);
  return [atCeiling(ceiling, context), ofSilence(silence, context)].filter((step) => step !== null);
}

function atCeiling(record: AlarmRecord, { world, nowMs }: WatchContext): AlarmStep | null {
  const place = world.places.get(record.placeId);
  if (!place) return null;
  const time = { nowMs, staleAfterMs: place.settings.maxGapMs, newest: (id: number) => world.airSample(id) };
  const step = withTimeAtCeiling(record, time, place.settings.ceilingAlarm);
  return mustBeKept(record, step) ? step : null;
}

function ofSilence(record: AlarmRecord, context: WatchContext): AlarmStep | null {
  const { world, nowMs, startedMs } = context;
  const probes = world.probesOf(record.placeId).flatMap((probe) => {
    const heard = world.heard.get(probe.id);
    return heard && !world.fromFile.has(probe.id)
      ? [{ ...probe, lastMs: heard.tMs, cadenceMs: heard.cadenceMs }]
      : [];
  });
  if (probes.length === 0) return null;
  const step = withSilence(record, { probes, nowMs, startedMs });
  const alreadyKnown = step.transition === null && sameSilence(step.record, record);
  return alreadyKnown ? null : step;
}

/** While an alarm stands, its list of silent probes may grow: that too is worth keeping and telling. */
function sameSilence(a: AlarmRecord, b: AlarmRecord): boolean {
  return JSON.stringify(a.facts) === JSON.stringify(b.facts);
}
