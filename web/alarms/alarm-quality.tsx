import { ALARM_TARGETS } from '../../shared/model/alarms/alarm-targets.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { AlarmQuality, TalkativeAlarm } from '../../shared/wire/alarms/alarm-quality.ts';
import { duration } from '../../shared/words/alarm.ts';
import { call, spanQuery } from '../api.ts';
import { DAY_MS } from '../bench/traces.ts';
import { fixed } from '../common/format.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { noticesSentence } from '../forecast/words.ts';
import { placeHref } from '../frame/route.ts';
import { nowMs, reader } from '../state.ts';

const WEEKS = 4;
const RENEW_MS = 600_000;

const minutes = (min: number | null) => (min === null ? '–' : duration(min * 60_000));

function weekName({ from }: AlarmQuality): string {
  const { timeZone } = reader.value;
  return new Intl.DateTimeFormat('en-GB', { timeZone, day: 'numeric', month: 'short' }).format(
    Date.parse(from),
  );
}

function Row({ of, name }: { of: AlarmQuality; name: string }) {
  const { byPriority } = of;
  return (
    <tr>
      <th scope="row">{name}</th>
      <td>{fixed(of.perDay, 1)}</td>
      <td>
        {byPriority.high} / {byPriority.medium} / {byPriority.low}
      </td>
      <td>{fixed(of.highPerWeekAtWorst, 1)}</td>
      <td>
        {of.chattering} / {of.fleeting} / {of.stale}
      </td>
      <td>{minutes(of.medianAcknowledgeMin)}</td>
      <td>{of.unanswered}</td>
    </tr>
  );
}

function Talkative({ one }: { one: TalkativeAlarm }) {
  const { name } = RULES[one.rule];
  return (
    <li>
      {one.placeName}: {name}, {one.told} times.{' '}
      {one.tryIt && one.placeId !== null && (
        <>
          <a href={placeHref(one.placeId)}>Try {one.tryIt.onDelayMin} min of delay on its past</a> before you
          set it.
        </>
      )}
    </li>
  );
}

/** How the early notices did, place by place. */
function EarlyNotices({ round }: { round: number }) {
  const { value } = useLoaded(`notices ${round}`, () => call('listEarlyNotices'));
  if (!value || value.places.length === 0) return null;
  return (
    <>
      <h3>Early notices</h3>
      <ul>
        {value.places.map((one) => (
          <li key={`${one.placeId} ${one.rule}`}>
            <a href={placeHref(one.placeId)}>{one.name}</a>: {noticesSentence(one)}
          </li>
        ))}
      </ul>
    </>
  );
}

/** How good the alarms of the last weeks were, against their targets. */
export function AlarmQualitySection() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading } = useLoaded(`quality ${round}`, () => {
    const toMs = nowMs.peek();
    return call('getAlarmQuality', { query: spanQuery({ fromMs: toMs - WEEKS * 7 * DAY_MS, toMs }) });
  });
  return (
    <section class="quality" data-testid="alarm-quality">
      <h2>Are the alarms worth answering?</h2>
      <p>
        An alarm that needs no answer teaches people not to answer. Goal: at most {ALARM_TARGETS.perDay} a day
        in all, and {ALARM_TARGETS.highPerWeekAndPlace} of high priority a week at one place.
      </p>
      <EarlyNotices round={round} />
      {problem && <p class="problem">It cannot be counted now: {problem}</p>}
      {!value && loading && <p class="waiting">Counting…</p>}
      {value && (
        <>
          <p role="status">
            {value.whole.told === 0
              ? `No alarm was sent in the last ${WEEKS} weeks.`
              : `In the last ${WEEKS} weeks ${value.whole.told} ${value.whole.told === 1 ? 'was' : 'were'} sent: ${value.whole.meetsTargets ? 'within' : 'above'} the goal.`}
          </p>
          {value.whole.told > 0 && (
            <Scrolling name="Alarms by week">
              <table class="counted">
                <thead>
                  <tr>
                    <th scope="col">week from</th>
                    <th scope="col">a day</th>
                    <th scope="col">high / medium / low</th>
                    <th scope="col">high a week, worst place</th>
                    <th scope="col">chattering / fleeting / stale</th>
                    <th scope="col">answered after</th>
                    <th scope="col">never answered</th>
                  </tr>
                </thead>
                <tbody>
                  {value.weeks.map((week) => (
                    <Row key={week.from} of={week} name={weekName(week)} />
                  ))}
                  <Row of={value.whole} name="all" />
                </tbody>
              </table>
            </Scrolling>
          )}
          {value.talkative.length > 0 && (
            <>
              <h3>Most frequent alarms</h3>
              <ul>
                {value.talkative.map((one) => (
                  <Talkative key={one.alarmId} one={one} />
                ))}
              </ul>
            </>
          )}
        </>
      )}
    </section>
  );
}
