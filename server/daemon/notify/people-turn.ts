import { INSTALLATION_WEBHOOK_ID } from '../../../shared/model/people/people.ts';
import { CONTACT_METHOD_WORDS } from '../../../shared/words/people.ts';
import { type AlarmRecord, type AlarmStep, withCondition } from '../../domain/alarms/record.ts';
import { failingLong } from '../../domain/people/failing.ts';
import type { NotifyContext } from './calling.ts';
import { callDue } from './flood-calls.ts';
import { sendMorningSheet } from './morning-sheet.ts';
import { unconfirmedStep, weeklyTestTurn } from './path-tests.ts';
import { restoreStep } from './restore-gaps.ts';

/** Turns of the watch come this often, ms; contact methods are checked every 5 s, morning sheet and tests once a minute. */
const TURN_MS = 1_000;
const CHECK_METHODS_EVERY_TURNS = 5;
const MINUTE_TURNS = 60;

/**
 * What passes with time for the people who are notified: the next person of the escalation, repeats, quiet hours that end, the
 * morning sheet, contact methods that fail or work again, the weekly test and what of it was not confirmed.
 * @param keep takes a step of an alarm into the record, inside the transaction
 * @throws Fault `store-failed`; nothing has changed then
 */
export function peopleTurn(context: NotifyContext, keep: (step: AlarmStep) => void): void {
  const { store, world, nowMs } = context;
  const due = store.people.dueCallings(nowMs);
  const turn = Math.floor(nowMs / TURN_MS);
  const checksMethods = turn % CHECK_METHODS_EVERY_TURNS === 0;
  const failing = checksMethods ? failingStep(context) : null;
  const restored = checksMethods ? restoreStep(context) : null;
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
  sendMorningSheet(context);
  weeklyTestTurn(context);
}

/** The alarm of contact methods that do not deliver messages, as it is now; null when nothing about it changed. */
function failingStep({ store, world, settings, nowMs }: NotifyContext): AlarmStep | null {
  const before = world.alarm({ placeId: null, rule: 'way-failing' });
  const noted = store.people.failing();
  if (noted.length === 0 && before.state === 'normal') return null;
  const methods = noted.flatMap((failing) => {
    const method = contactMethodWords(failing.wayId, { store, settings });
    const { error, sinceMs } = failing;
    return method !== null && failingLong(failing, nowMs) ? [{ way: method, error, sinceMs }] : [];
  });
  const record: AlarmRecord =
    methods.length === 0 ? before : { ...before, facts: { kind: 'way-failing', ways: methods } };
  const step = withCondition(record, { isMet: methods.length > 0, atMs: nowMs });
  const same = JSON.stringify(step.record.facts) === JSON.stringify(before.facts);
  return step.transition === null && same ? null : step;
}

/** What a contact method is called, or null when there is none such any more. */
function contactMethodWords(
  wayId: number,
  { store, settings }: Pick<NotifyContext, 'store' | 'settings'>,
): string | null {
  if (wayId === INSTALLATION_WEBHOOK_ID)
    return settings.webhookSet ? 'the webhook of this installation' : null;
  for (const { name, ways: methods } of store.people.roster().people) {
    const method = methods.find(({ id }) => id === wayId);
    if (method) return `${CONTACT_METHOD_WORDS[method.kind]} to ${name}`;
  }
  return null;
}
