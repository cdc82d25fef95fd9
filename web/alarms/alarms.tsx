import { useEffect, useRef, useState } from 'preact/hooks';
import type { Alarm, AlarmEvent } from '../../shared/model/alarms/alarm.ts';
import { ALARM_RULES, RULES } from '../../shared/rules/rules.ts';
import { call, spanQuery } from '../api.ts';
import { DAY_MS } from '../bench/traces.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { momentWords } from '../common/time.ts';
import { placeHref } from '../frame/route.ts';
import { known, nowMs, reader } from '../state.ts';
import { AlarmBlock } from './alarm-block.tsx';
import { AlarmQualitySection } from './alarm-quality.tsx';
import { activeAlarms, partsOfAlarmId, TRANSITION_WORDS } from './alarms.ts';

const HISTORY_DAYS = 30;
const MOST_ROWS = 200;
/** What is read in a glance; the others are unfolded. */
const FIRST_ROWS = 20;

type HistoryRow = AlarmEvent & { readonly alarm: Alarm };

async function loadHistory(): Promise<HistoryRow[]> {
  const toMs = nowMs.peek() + 60_000;
  const query = spanQuery({ fromMs: toMs - HISTORY_DAYS * DAY_MS, toMs });
  const { alarms } = await call('listAlarms', { query });
  const events = await Promise.all(
    alarms.map(async (alarm) => {
      const answer = await call('listAlarmEvents', { params: { id: alarm.id } });
      return answer.events.map((event) => ({ ...event, alarm }));
    }),
  );
  return events
    .flat()
    .sort((a, b) => b.atMs - a.atMs || b.id - a.id)
    .slice(0, MOST_ROWS);
}

function History() {
  const key = known.value.alarms
    .map(({ id, state, shelvedUntilMs }) => `${id} ${state} ${shelvedUntilMs}`)
    .join();
  const { value, problem, loading } = useLoaded(key, loadHistory);
  const [all, setAll] = useState(false);
  const more = (value?.length ?? 0) - FIRST_ROWS;
  return (
    <section>
      <h2>The last {HISTORY_DAYS} days</h2>
      {problem && <p class="problem">The history cannot be shown: {problem}</p>}
      {!value && loading && <p class="waiting">Fetching the history…</p>}
      {value?.length === 0 && <p>No alarm was raised.</p>}
      {value && value.length > 0 && (
        <Scrolling name="History of alarms">
          <table class="history stacks">
            <thead>
              <tr>
                <th scope="col">when</th>
                <th scope="col">place</th>
                <th scope="col">alarm</th>
                <th scope="col">what happened</th>
              </tr>
            </thead>
            <tbody>
              {value.slice(0, all ? MOST_ROWS : FIRST_ROWS).map((row) => (
                <tr key={row.id}>
                  <td class="when">{momentWords({ atMs: row.atMs, ...reader.value })}</td>
                  <td>
                    {row.alarm.placeId === null ? (
                      row.alarm.placeName
                    ) : (
                      <a href={placeHref(row.alarm.placeId)}>{row.alarm.placeName}</a>
                    )}
                  </td>
                  <td>{RULES[row.alarm.rule].name}</td>
                  <td>
                    {TRANSITION_WORDS[row.transition]}
                    {row.note && `: ${row.note}`}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scrolling>
      )}
      {more > 0 && (
        <button type="button" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? 'Show fewer' : `Show ${more} more`}
        </button>
      )}
    </section>
  );
}

/** The alarm that a message led to: its block takes the focus, or that it is over is said. */
function Asked({ alarmId, active }: { readonly alarmId: string; readonly active: readonly Alarm[] }) {
  const box = useRef<HTMLDivElement>(null);
  const alarm = active.find(({ id }) => id === alarmId);
  const isThere = alarm !== undefined;
  useEffect(() => box.current?.focus({ preventScroll: true }), [alarmId, isThere]);
  return (
    <div class="standing asked" ref={box} tabIndex={-1} data-takes-focus data-testid="asked-alarm">
      {alarm ? <AlarmBlock alarm={alarm} linked /> : <p class="say">{overWords(alarmId)}</p>}
    </div>
  );
}

/** That an alarm is no longer active; the history below says how it went. */
function overWords(alarmId: string): string {
  const [placeId, rule] = partsOfAlarmId(alarmId);
  const place = known.value.places.find(({ id }) => id === placeId);
  const name = ALARM_RULES.find((one) => one === rule);
  if (name === undefined) return 'The alarm of this message is not known here.';
  return `${place ? `${place.name}: “` : '“'}${RULES[name].name}” is no longer active. Its history stands below.`;
}

/** What is active now, how to answer it, and what happened before; the alarm that a message led to first. */
export function AlarmsPage({ alarmId = null }: { readonly alarmId?: string | null }) {
  const active = activeAlarms(known.value.alarms, nowMs.value);
  const others = active.filter(({ id }) => id !== alarmId);
  return (
    <div class="plain-page broad">
      <h1>Alarms</h1>
      {alarmId !== null && <Asked alarmId={alarmId} active={active} />}
      {active.length === 0 && <p class="say">No active alarms.</p>}
      {alarmId !== null && others.length > 0 && <h2>Other active alarms</h2>}
      <div class="standing">
        {others.map((alarm) => (
          <AlarmBlock key={alarm.id} alarm={alarm} linked />
        ))}
      </div>
      <AlarmQualitySection />
      <History />
    </div>
  );
}
