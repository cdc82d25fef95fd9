import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import type { BatchReport, WorstHour } from '../../../shared/wire/cuttings/report.ts';
import { addressOf, call } from '../../api.ts';
import { fixed } from '../../common/format.ts';
import { useLoaded } from '../../common/hooks.ts';
import { EntryText } from '../../diary/entry.tsx';
import { batchHref } from '../../frame/route.ts';
import { reader } from '../../state.ts';
import { reportedAlarmWords, worstHourWords } from '../report-words.ts';
import {
  batchName,
  cuttings,
  DETAIL_NAMES,
  type DetailName,
  dayWords,
  lossWords,
  moment,
  percent,
  pottedWords,
  STAGE_NAMES,
  STRIKE_NOTE,
  spanWords,
  strikeWords,
} from '../words.ts';
import { Throughout, useThroughout } from './exposures.tsx';
import { RootingSection } from './rooting.tsx';
import { SheetLink } from './sheet-given.tsx';
import { placeName } from './stays.tsx';

/** What happened to a batch, on one page, to be printed. */
export function ReportPage({ batchId }: { batchId: string }) {
  const { value, problem, loading } = useLoaded(`report ${batchId}`, () =>
    call('getBatch', { params: { id: batchId } }),
  );
  return (
    <div class="plain-page report">
      {!value && <h1 class="unseen">What happened</h1>}
      {problem && (
        <p class="problem" role="status">
          The batch cannot be loaded: {problem} <a href="#/batches">Go to the batches.</a>
        </p>
      )}
      {!value && loading && <p class="waiting">Loading the batch…</p>}
      {value && <Report batch={value} />}
    </div>
  );
}

function Report({ batch }: { batch: Batch }) {
  const throughout = useThroughout(batch);
  return (
    <>
      <h1>
        {batchName(batch)}: what happened <span class="quiet">{dayWords(batch, reader.value)}</span>
      </h1>
      <p class="row not-printed">
        <button type="button" class="first" onClick={() => print()}>
          Print
        </button>
        <a
          href={addressOf('getBatchReport', { params: { id: batch.id }, query: { format: 'csv' } })}
          download=""
        >
          Download as CSV
        </a>
        <a href={batchHref(batch.id)}>Back to the batch</a>
      </p>
      <Summary batch={batch} />
      <RootingSection batch={batch} />
      <section>
        <h2>What it went through</h2>
        {throughout.problem && <p class="problem">It cannot be counted now: {throughout.problem}</p>}
        {!throughout.value && !throughout.problem && <p class="waiting">Counting…</p>}
        {throughout.value && <Throughout {...throughout.value} />}
      </section>
      <CountsPart batch={batch} />
      <LossesPart batch={batch} />
      <RecordParts batch={batch} />
    </>
  );
}

function Summary({ batch }: { batch: Batch }) {
  const at = reader.value;
  const details = (Object.keys(DETAIL_NAMES) as DetailName[]).filter((name) => batch[name] !== null);
  return (
    <section>
      <p>
        {cuttings(batch.count)}, stuck {moment(batch.stuckAt, at)}
        {batch.closedAt === null ? ', still open' : `, closed ${moment(batch.closedAt, at)}`}.{' '}
        <SheetLink batch={batch} />
      </p>
      <p class="strike">{batch.strike ? `${strikeWords(batch.strike)}.` : 'It was not counted.'}</p>
      <p class="quiet">{batch.strike && STRIKE_NOTE}</p>
      <dl class="facts">
        {batch.stages.map(({ n, stage, from, to }) => (
          <>
            <dt key={`${n} name`}>{STAGE_NAMES[stage].name.toLowerCase()}</dt>
            <dd key={n}>{spanWords({ from, to }, batch, at)}</dd>
          </>
        ))}
        {batch.stays.map(({ n, placeId, from, to }) => (
          <>
            <dt key={`stay ${n} name`}>stood at</dt>
            <dd key={`stay ${n}`}>
              {placeName(placeId)}, {spanWords({ from, to }, batch, at)}
            </dd>
          </>
        ))}
        {details.map((name) => (
          <>
            <dt key={`${name} name`}>{DETAIL_NAMES[name]}</dt>
            <dd key={name}>{batch[name]}</dd>
          </>
        ))}
      </dl>
    </section>
  );
}

function CountsPart({ batch }: { batch: Batch }) {
  if (batch.counts.length === 0) return null;
  return (
    <section>
      <h2>Counts</h2>
      <ul>
        {batch.counts.map((count) => (
          <li key={count.n}>
            {moment(count.at, reader.value)}: {count.rooted} of {count.looked} rooted (
            {percent(count.rooted / count.looked)})
            {count.lost.length > 0 && `, lost ${lossWords(count.lost)}`}
            {count.potted !== null && `, potted on ${pottedWords(count)}`}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** What took cuttings, by the newest count that names anything. */
function LossesPart({ batch }: { batch: Batch }) {
  const newest = batch.counts.findLast(({ lost }) => lost.length > 0);
  if (newest === undefined) return null;
  return (
    <p>
      Lost of {newest.looked} looked at on {moment(newest.at, reader.value)}: {lossWords(newest.lost)}.
    </p>
  );
}

/** The worst hours, the alarms and the diary; counted from the record, so it may take some seconds. */
function RecordParts({ batch }: { batch: Batch }) {
  const { value, problem } = useLoaded(`what happened ${batch.id} ${batch.closedAt}`, () =>
    call('getBatchReport', { params: { id: batch.id }, query: {} }),
  );
  if (problem)
    return <p class="problem">Its worst hours, alarms and diary cannot be listed now: {problem}</p>;
  if (!value) return <p class="waiting">Looking through its record…</p>;
  return (
    <>
      <WorstHours hours={value.worstHours} />
      <AlarmsPart {...value} />
      <DiaryPart {...value} />
    </>
  );
}

/** Less is shown as 0.00, which says nothing. */
const LEAST_HARM = 0.005;

function WorstHours({ hours }: { hours: readonly WorstHour[] }) {
  const worst = hours.filter(({ harm }) => harm >= LEAST_HARM);
  return (
    <section data-testid="worst-hours">
      <h2>Worst hours</h2>
      {worst.length === 0 && <p>No hour on record did harm of 0.01 or more.</p>}
      {worst.length > 0 && (
        <div class="wide">
          <table class="counts">
            <thead>
              <tr>
                <th scope="col">hour from</th>
                <th scope="col">what</th>
                <th scope="col">harm</th>
              </tr>
            </thead>
            <tbody>
              {worst.map((hour) => (
                <tr key={`${hour.placeId} ${hour.from}`}>
                  <th scope="row">{moment(hour.from, reader.value)}</th>
                  <td>{worstHourWords(hour, reader.value)}</td>
                  <td>{fixed(hour.harm, 2)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <p class="quiet">Harm of 1: a batch without roots is expected to be damaged, or to have lost a day.</p>
    </section>
  );
}

function AlarmsPart({ alarms, alarmsLeftOut }: Pick<BatchReport, 'alarms' | 'alarmsLeftOut'>) {
  return (
    <section>
      <h2>Alarms while it stood there</h2>
      {alarms.length === 0 && <p>None is on record.</p>}
      <ul>
        {alarms.map((alarm) => (
          <li key={`${alarm.alarmId} ${alarm.raised}`}>{reportedAlarmWords(alarm, reader.value)}</li>
        ))}
      </ul>
      {alarmsLeftOut > 0 && <p class="quiet">{alarmsLeftOut} older ones are not listed.</p>}
    </section>
  );
}

/** What was written down of it, and of the places where it stood while it stood there. */
function DiaryPart({ diary }: Pick<BatchReport, 'diary'>) {
  return (
    <section data-testid="report-diary">
      <h2>Diary</h2>
      {diary.length === 0 && <p>Nothing was written down.</p>}
      <ul>
        {diary.map((entry) => (
          <li key={entry.id}>
            <EntryText entry={entry} printed />
          </li>
        ))}
      </ul>
    </section>
  );
}
