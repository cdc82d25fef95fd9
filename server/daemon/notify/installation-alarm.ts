import type { AlarmFacts } from '../../../shared/model/alarms/alarm.ts';
import type { HOUSE_RULES } from '../../../shared/rules/rules.ts';
import { type AlarmRecord, type AlarmStep, withCondition } from '../../domain/alarms/record.ts';
import type { World } from '../world/world.ts';

/** One thing wrong with the installation: what, since when (ms since epoch), and what is known of it. */
export type Trouble = Extract<AlarmFacts, { kind: 'installation' }>['items'][number];

/**
 * The step of an alarm of the installation itself.
 * @param of the rule, what is wrong now (none clears it), and the time, ms since epoch
 * @returns null when nothing about it changed
 */
export function installationStep(
  world: World,
  of: {
    readonly rule: (typeof HOUSE_RULES)[number];
    readonly troubles: readonly Trouble[];
    readonly nowMs: number;
  },
): AlarmStep | null {
  const before = world.alarm({ placeId: null, rule: of.rule });
  const isMet = of.troubles.length > 0;
  const record: AlarmRecord = isMet
    ? { ...before, facts: { kind: 'installation', items: of.troubles } }
    : before;
  const step = withCondition(record, { isMet, atMs: of.nowMs });
  const same = JSON.stringify(step.record.facts) === JSON.stringify(before.facts);
  return step.transition === null && same ? null : step;
}
