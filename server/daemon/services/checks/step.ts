import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import { DEFAULT_PLACE_SETTINGS, type PlaceSettings } from '../../../../shared/model/place.ts';
import type { CheckBody, CheckStep, KeptCheck, TakenReading } from '../../../../shared/model/probes/check.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';
import type { Steadiness } from '../../../../shared/wire/probes/checks.ts';
import { sensorErrorPct } from '../../../domain/explain/error-range.ts';
import { asFormulasTakeIt } from '../../../domain/exposures/curves.ts';
import { differencesOf, fixedPointOf } from '../../../domain/probes/checks/reference.ts';
import { judgeRest, lastStretch, meanOf, steadyRule } from '../../../domain/probes/checks/steady.ts';
import { isTemperature, withoutLeftOut } from '../../../domain/probes/left-out.ts';
import type { Store } from '../../../ports.ts';
import type { World } from '../../world/world.ts';

type StepContext = { readonly world: World; readonly store: Store; readonly nowMs: number };

export type StepState = { readonly steadiness: Steadiness; readonly taken: TakenReading | null };

/** The step that is next or under way; null when all are taken. */
export function stepAt({ steps }: CheckBody): number | null {
  const at = steps.findIndex(({ taken }) => taken === null);
  return at < 0 ? null : at;
}

/** How far the step of a check has come to rest, and what would be taken of it now; null before it began. */
export function stepState(check: KeptCheck, step: CheckStep, context: StepContext): StepState | null {
  const { world, nowMs } = context;
  const probe = world.probes.get(check.probeId);
  const { sinceMs, reference } = step;
  if (!probe || probe.quantity === null || sinceMs === null) return null;
  const span = { fromMs: sinceMs, toMs: Math.min(step.untilMs ?? nowMs, nowMs) };
  const settings = settingsOf(probe, world);
  const record = read(probe, { ...span, corrected: false }, context);
  const rule = steadyRule(reference, probe.quantity);
  const { maxGapMs } = settings;
  const other =
    reference.kind === 'probe'
      ? read(world.probes.get(reference.probeId) ?? null, { ...span, corrected: true }, context)
      : null;
  const judged = other === null ? record : differencesOf({ record, other, maxGapMs });
  const companion = reference.kind === 'salt' ? check.body.temperature : null;
  const temperatures =
    companion !== null && 'probeId' in companion
      ? read(world.probes.get(companion.probeId) ?? null, { ...span, corrected: true }, context)
      : null;
  const rest = judgeRest({ record: judged, sinceMs, untilMs: span.toMs, temperatures }, rule);
  const lastMs = (judged.timesMs.at(-1) ?? span.toMs) - rule.windowMs;
  const mean = rest.mean === null ? null : meanOf(meant(record, judged, lastMs));
  const temperatureC = temperatures
    ? meanOf(lastStretch(temperatures, lastMs).values)
    : companion !== null && 'celsius' in companion
      ? companion.celsius
      : null;
  const point =
    reference.kind === 'probe'
      ? besidePoint({ mean, difference: rest.mean, settings, quantity: probe.quantity })
      : fixedPointOf(reference, { temperatureC, temperatureErrorK: settings.sensorError.temperatureK });
  const [newest, newestMs] = [record.values.at(-1) ?? null, record.timesMs.at(-1) ?? null];
  const steadiness: Steadiness = {
    steady: rest.steady && point !== null,
    criteria: rest.criteria,
    readings: rest.readings,
    mean,
    newest,
    newestMs,
    temperatureC,
    reference: point?.value ?? null,
    uncertainty: point?.uncertainty ?? null,
  };
  if (!steadiness.steady || mean === null || point === null || newestMs === null)
    return { steadiness, taken: null };
  const taken = {
    atMs: newestMs,
    readings: rest.readings,
    read: mean,
    corrected: context.store.corrections.valueOf({ probeId: probe.id, tMs: newestMs, value: mean }),
    reference: point.value,
    uncertainty: point.uncertainty,
    temperatureC,
    accuracy: accuracyOf({ quantity: probe.quantity, value: point.value, settings }),
  };
  return { steadiness, taken };
}

/** The readings of the last stretch at the times that are judged. */
function meant(record: ProbeRecord, judged: ProbeRecord, fromMs: number): Float64Array {
  const times = new Set(lastStretch(judged, fromMs).timesMs);
  return record.values.filter((_, i) => times.has(record.timesMs[i] as number));
}

type Beside = {
  readonly mean: number | null;
  readonly difference: number | null;
  readonly settings: PlaceSettings;
  readonly quantity: string;
};

/** What the probe beside it read meanwhile; as sure as such probes are. */
function besidePoint({ mean, difference, settings, quantity }: Beside) {
  if (mean === null || difference === null) return null;
  const value = mean - difference;
  return { value, uncertainty: accuracyOf({ quantity, value, settings }) };
}

function accuracyOf(of: { quantity: string; value: number; settings: PlaceSettings }): number {
  const { quantity, value, settings } = of;
  return isTemperature(quantity)
    ? settings.sensorError.temperatureK
    : sensorErrorPct(settings, asFormulasTakeIt(value));
}

function settingsOf({ placeId }: Probe, world: World): PlaceSettings {
  return (placeId === null ? undefined : world.places.get(placeId)?.settings) ?? DEFAULT_PLACE_SETTINGS;
}

type Read = { readonly fromMs: number; readonly toMs: number; readonly corrected: boolean };

/** Without what is no measurement: a probe that was plugged in again in its bath reads 85 °C once. */
function read(probe: Probe | null, { corrected, ...span }: Read, { world, store }: StepContext): ProbeRecord {
  // as reported, for a probe that goes along into the jar is not used otherwise
  const [found] = probe ? store.journal.window({ probeIds: [probe.id], ...span, asReported: true }) : [];
  if (!probe || !found) return { timesMs: new Float64Array(), values: new Float64Array() };
  const { maxGapMs } = settingsOf(probe, world);
  const { timesMs, values } = withoutLeftOut(found, { quantity: probe.quantity, maxGapMs });
  if (!corrected) return { timesMs, values };
  const used = (value: number, i: number) =>
    store.corrections.valueOf({ probeId: probe.id, tMs: timesMs[i] as number, value });
  return { timesMs, values: values.map(used) };
}
