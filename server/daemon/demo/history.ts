import type { Place } from '../../../shared/model/place.ts';
import { LIMIT_RULE_DEFINITIONS, LIMIT_RULES, type LimitRule } from '../../../shared/rules/rules.ts';
import { heldRule } from '../../domain/alarms/limits.ts';
import { type Answers, type PastTransition, pastSteps } from '../../domain/alarms/past.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import { SAMPLERS } from '../../domain/alarms/rules/registry.ts';
import { CASE, CASE_DEVICE, DEMO_BATCHES } from '../../domain/demo/scenario.ts';
import type { Span } from '../../ports.ts';
import { pastRecord } from '../readout/past-sources.ts';
import { baseQuantity, type RecordContext } from '../world/records.ts';

const MINUTE_MS = 60_000;
/** What is announced in the morning alone is answered by nobody in the night. */
const ANSWERED: readonly string[] = ['high', 'medium'];

export type MadeAlarm = { readonly record: AlarmRecord; readonly transitions: readonly PastTransition[] };

/**
 * The history of alarms that the record of a demo place makes: every rule that is on there, stepped through the invented
 * readings by the very functions of the live alarm and of trials, and left as it stands at the end, so that what is active
 * goes on to be judged. Only who acknowledged, and after how many minutes, is invented.
 */
export function* historyOf(place: Place, span: Span, context: RecordContext): Generator<MadeAlarm> {
  const { settings } = place;
  const targets = context.world.targets(place.id, span.toMs);
  for (const rule of LIMIT_RULES) {
    const held = heldRule(rule, { place, targets });
    if (!held.on) continue;
    const { sources, own } = pastRecord(rule, { place, span }, context);
    const question = { sources, limits: own, held, staleAfterMs: settings.maxGapMs };
    const of = { placeId: place.id, answers: answersTo(rule, place, span.toMs), untilMs: span.toMs };
    const { record, transitions } = pastSteps(question, of);
    yield { record: { ...record, conditions: bySource(rule, { place, record }, context) }, transitions };
  }
}

/** The invented growers take turns; the mat that is dead when the demo begins is left to whoever looks at it. */
function answersTo(rule: LimitRule, place: Place, nowMs: number): Answers {
  const { growers, answersAfterMin } = DEMO_BATCHES;
  if (!ANSWERED.includes(LIMIT_RULE_DEFINITIONS[rule].priority)) return () => null;
  const leftFromMs = place.id === CASE_DEVICE ? nowMs - CASE.matFailure.hoursBefore * 3_600_000 : nowMs;
  return (raisedMs) => {
    if (raisedMs >= leftFromMs) return null;
    const turn = Math.floor(raisedMs / (12 * 3_600_000));
    const by = growers[turn % growers.length] ?? null;
    const afterMin = answersAfterMin[turn % answersAfterMin.length] ?? 0;
    return by === null ? null : { atMs: raisedMs + afterMin * MINUTE_MS, by };
  };
}

/** Conditions by the ids of their probes, as they are live: over the past, probes are counted by what they measure. */
function bySource(
  rule: LimitRule,
  { place, record }: { readonly place: Place; readonly record: AlarmRecord },
  { world }: RecordContext,
): AlarmRecord['conditions'] {
  if (SAMPLERS[rule].by !== 'probe') return record.conditions;
  const probes = world.probesOf(place.id).toSorted((a, b) => a.id - b.id);
  const found = Object.entries(record.conditions).flatMap(([source, condition]) => {
    const at = source.lastIndexOf('/');
    const [quantity, nth] = [source.slice(0, at), Number(source.slice(at + 1))];
    const probe = probes.filter((one) => baseQuantity(one) === quantity)[nth];
    return probe === undefined ? [] : [[String(probe.id), condition] as const];
  });
  return Object.fromEntries(found);
}
