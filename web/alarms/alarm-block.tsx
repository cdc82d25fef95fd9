import { useId, useRef, useState } from 'preact/hooks';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { ALARM_RULES, CHATTER_QUIET_MS, RULES } from '../../shared/rules/rules.ts';
import { alarmWords, duration, STATE_WORDS } from '../../shared/words/alarm.ts';
import { call } from '../api.ts';
import { type Order, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { momentWords } from '../common/time.ts';
import { placeHref } from '../frame/route.ts';
import { nowMs, reader, say, secondMs } from '../state.ts';
import { AcknowledgeButton, AcknowledgeStatus, useAcknowledge } from './acknowledge.tsx';
import { isShelved, isSuppressed, shelveChoicesMinutes, UNANSWERED } from './alarms.ts';
import { Messages } from './messages.tsx';

function ShelveForm({ alarm, order, close }: { alarm: Alarm; order: Order; close: () => void }) {
  const id = useId();
  const [minutes, setMinutes] = useState(shelveChoicesMinutes(alarm.priority)[0] ?? 15);
  const [reason, setReason] = useState('');
  const submit = async (event: Event) => {
    event.preventDefault();
    const why = reason.trim();
    const params = { id: alarm.id };
    const put = () =>
      minutes === 0
        ? call('takeAlarmOutOfService', { params, body: { reason: why } })
        : call('shelveAlarm', { params, body: { minutes, reason: why } });
    if (!(await order.run(put))) return;
    const how = minutes === 0 ? 'out of service' : `shelved for ${duration(minutes * 60_000)}`;
    say(`${alarm.placeName}: alarm ${how}.`);
    close();
  };
  return (
    <form class="shelve" onSubmit={submit}>
      <label for={`${id}-minutes`}>Put it aside for</label>
      <select
        id={`${id}-minutes`}
        value={minutes}
        onChange={(event) => setMinutes(Number(event.currentTarget.value))}
      >
        {shelveChoicesMinutes(alarm.priority).map((choice) => (
          <option key={choice} value={choice}>
            {duration(choice * 60_000)}
          </option>
        ))}
        <option value={0}>until repaired (out of service)</option>
      </select>
      <label for={`${id}-reason`}>because</label>
      <input
        id={`${id}-reason`}
        required
        maxLength={200}
        placeholder="e.g. cover off for sticking"
        value={reason}
        onInput={(event) => setReason(event.currentTarget.value)}
      />
      <span class="row">
        <button type="submit" disabled={order.busy}>
          Shelve
        </button>
        <button type="button" onClick={close}>
          Cancel
        </button>
      </span>
    </form>
  );
}

type AnswerRoute = 'resetAlarm' | 'putAlarmInService' | 'unshelveAlarm';

function Answers({ alarm }: { alarm: Alarm }) {
  const order = useOrder();
  const acknowledging = useAcknowledge(alarm);
  const [shelving, setShelving] = useState(false);
  const shelved = isShelved(alarm, nowMs.value);
  const row = useRef<HTMLSpanElement>(null);
  const answer = async (route: AnswerRoute, words: string) => {
    if (!(await order.run(() => call(route, { params: { id: alarm.id } })))) return;
    done(words);
  };
  const done = (words: string) => {
    say(`${alarm.placeName}: ${words}.`);
    // the button that was pressed goes away: keep the keyboard where it was
    row.current?.focus();
  };
  return (
    <div class="answers">
      <span class="row" ref={row} tabIndex={-1}>
        {UNANSWERED.includes(alarm.state) && (
          <AcknowledgeButton of={acknowledging} done={() => done('acknowledged')} />
        )}
        {alarm.state === 'latched-acknowledged' && (
          <button
            type="button"
            class="first"
            disabled={order.busy}
            onClick={() => void answer('resetAlarm', 'reset')}
          >
            Reset
          </button>
        )}
        {alarm.suppression === 'out-of-service' && (
          <button
            type="button"
            disabled={order.busy}
            onClick={() => void answer('putAlarmInService', 'back in service')}
          >
            Put back in service
          </button>
        )}
        {shelved ? (
          <button
            type="button"
            disabled={order.busy}
            onClick={() => void answer('unshelveAlarm', 'no longer shelved')}
          >
            Unshelve
          </button>
        ) : (
          !shelving && (
            <button type="button" onClick={() => setShelving(true)}>
              Shelve…
            </button>
          )
        )}
      </span>
      {shelving && !shelved && <ShelveForm alarm={alarm} order={order} close={() => setShelving(false)} />}
      {UNANSWERED.includes(alarm.state) && <AcknowledgeStatus of={acknowledging} />}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </div>
  );
}

/** Why the rules themselves keep an alarm quiet. */
function suppressedWords({ suppressedReason }: Alarm): string {
  const [, rule] = /^it follows from .*\.([a-z-]+)$/.exec(suppressedReason ?? '') ?? [];
  const first = ALARM_RULES.find((known) => known === rule);
  return first ? `“${RULES[first].name}” came first and speaks for it` : (suppressedReason ?? '');
}

/** An active alarm: its state in a word, what it says, and how to answer it; `linked` away from its place. */
export function AlarmBlock({ alarm, linked = false }: { alarm: Alarm; linked?: boolean }) {
  const words = alarmWords(alarm, { ...reader.value, nowMs: secondMs.value });
  const shelved = isShelved(alarm, nowMs.value);
  const aside = isSuppressed(alarm, nowMs.value);
  return (
    <section
      class={`alarm-block ${aside ? 'shelved' : alarm.state}`}
      data-testid="alarm-block"
      aria-label={`Alarm of ${alarm.placeName}`}
    >
      <p class="alarm-state">
        <strong data-testid="alarm-state">{STATE_WORDS[alarm.state]}</strong>
        <span>
          {alarm.priority} priority
          {alarm.raisedAtMs !== null &&
            `, raised ${momentWords({ atMs: alarm.raisedAtMs, ...reader.value })}`}
          {alarm.acknowledgedAtMs !== null &&
            alarm.state === 'acknowledged' &&
            `, acknowledged ${momentWords({ atMs: alarm.acknowledgedAtMs, ...reader.value })}`}
          {alarm.state === 'acknowledged' && alarm.acknowledgedBy !== null && ` by ${alarm.acknowledgedBy}`}
          {alarm.state === 'unacknowledged' &&
            !aside &&
            `; act within ${duration(RULES[alarm.rule].respondWithinMin * 60_000)}`}
        </span>
      </p>
      <p class="headline">{words.headline}</p>
      {words.detail && <p>{words.detail}</p>}
      {words.action && <p class="do">{words.action}</p>}
      {alarm.comesAndGoes && (
        <p class="put-aside" data-testid="comes-and-goes">
          Repeating: one message for all. Normal messages resume after {duration(CHATTER_QUIET_MS)} of quiet.
        </p>
      )}
      {alarm.notJudged && <p class="put-aside">It is judged again by itself; nobody is called until then.</p>}
      {alarm.suppression === 'by-design' && !alarm.notJudged && (
        <p class="put-aside">No separate message: {suppressedWords(alarm)}.</p>
      )}
      {alarm.suppression === 'out-of-service' && (
        <p class="put-aside">Out of service: {alarm.suppressedReason}</p>
      )}
      {shelved && alarm.shelvedUntilMs !== null && (
        <p class="put-aside">
          Shelved until {momentWords({ atMs: alarm.shelvedUntilMs, ...reader.value })}
          {alarm.shelvedReason ? `: ${alarm.shelvedReason}` : ''}
        </p>
      )}
      <IfMay route="acknowledgeAlarm">
        <Answers alarm={alarm} />
      </IfMay>
      {linked && alarm.placeId !== null && (
        <p>
          <a class="open-place" href={placeHref(alarm.placeId)}>
            Open {alarm.placeName}
          </a>
        </p>
      )}
      <IfMay route="listAlarmMessages">
        <Messages alarm={alarm} />
      </IfMay>
    </section>
  );
}
