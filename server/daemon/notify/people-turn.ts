import { HOUSE_WAY_ID } from '../../../shared/model/people/people.ts';
import { WAY_WORDS } from '../../../shared/words/people.ts';
import { type AlarmRecord, type AlarmStep, withCondition } from '../../domain/alarms/record.ts';
import { failingLong } from '../../domain/people/failing.ts';
import type { TellContext } from './calling.ts';
import { callDue } from './flood-calls.ts';
import { sendSheet } from './morning-sheet.ts';
import { unconfirmedStep, weeklyTestTurn } from './path-tests.ts';
import { restoreStep } from './restore-gaps.ts';

/** Turns of the watch come this often, ms; ways are looked at every 5 s, morning sheet and tests once a minute. */
const TURN_MS = 1_000;
const WAYS_EVERY_TURNS = 5;
const MINUTE_TURNS = 60;

/**
 * What passes with time for the people who are told: the next on the ladder, repeats, quiet hours that end, the
 * morning sheet, ways that fail or work again, the weekly test and what of it was not confirmed.
 * @param keep takes a step of an alarm into the record, inside the transaction
 * @throws Fault `store-failed`; nothing has changed then
 */
export function peopleTurn(context: TellContext, keep: (step: AlarmStep) => void): void {
  const { store, world, nowMs } = context;
  const due = store.people.dueCallings(nowMs);
  const turn = Math.floor(nowMs / TURN_MS);
  const onWays = turn % WAYS_EVERY_TURNS === 0;
  const failing = onWays ? failingStep(context) : null;
  const restored = onWays ? restoreStep(context) : null;
  const onMinute = turn % MINUTE_TURNS === 0;
  const unconfirmed = onMinute ? unconfirmedStep(context) : null;
  if (due.length > 0 || failing || restored || unconfirmed) {
    store.carryOn(() => {
      if (failing) keep(failing);
      if (restored) keep(restored);
      if (unconfirmed) keep(unconfirmed);
      callDue(
        due.flatMap((alarmId) => world.alarms.get(alarmId) ?? []),
        context,
      );
    });
  }
  if (!onMinute) return;
  sendSheet(context);
  weeklyTestTurn(context);
}

/** The alarm of ways that do not take messages, as it is now; null when nothing about it changed. */
function failingStep({ store, world, settings, nowMs }: TellContext): AlarmStep | null {
  const before = world.alarm({ placeId: null, rule: 'way-failing' });
  const noted = store.people.failing();
  if (noted.length === 0 && before.state === 'normal') return null;
  const ways = noted.flatMap((failing) => {
    const way = wayWords(failing.wayId, { store, settings });
    const { error, sinceMs } = failing;
    return way !== null && failingLong(failing, nowMs) ? [{ way, error, sinceMs }] : [];
  });
  const record: AlarmRecord =
    ways.length === 0 ? before : { ...before, facts: { kind: 'way-failing', ways } };
  const step = withCondition(record, { stands: ways.length > 0, atMs: nowMs });
  const same = JSON.stringify(step.record.facts) === JSON.stringify(before.facts);
  return step.transition === null && same ? null : step;
}

/** What a way is called, or null when there is none such any more. */
function wayWords(
  wayId: number,
  { store, settings }: Pick<TellContext, 'store' | 'settings'>,
): string | null {
  if (wayId === HOUSE_WAY_ID) return settings.webhookSet ? 'the webhook of the house' : null;
  for (const { name, ways } of store.people.roster().people) {
    const way = ways.find(({ id }) => id === wayId);
    if (way) return `${WAY_WORDS[way.kind]} to ${name}`;
  }
  return null;
}
