import { useEffect, useRef, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call, problemWords, spanQuery } from '../api.ts';
import { Ask, AskTable } from '../common/ask.tsx';
import { degreeHoursText, degreeSign, fixed, hoursText, readingDifference } from '../common/format.ts';
import { useWidth } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import type { View } from '../common/plot.ts';
import { calendarDay, weekday } from '../common/time.ts';
import { link, nowMs, timeZone, unit } from '../state.ts';
import { barsOf, type DayDose, doseOf, localDays, mostDose } from './days.ts';

const MOST_DAYS = 14;
const RENEW_MS = 600_000;
const SIDE_PX = 52;
const GUTTER_PX = 44;
const LABEL_PX = 16;
const LEAST_SLOT_PX = 34;
const LEAST_HOURS = 0.05;

type Layer = 'air' | 'rootZone';
type Day = { readonly air: DayDose; readonly rootZone: DayDose };
type Progress = {
  readonly days: readonly Day[];
  readonly of: number;
  readonly problem: string | null;
  readonly done: boolean;
};

const NAMES: Readonly<Record<Layer, string>> = { air: 'air', rootZone: 'root zone' };
const WAITING: Progress = { days: [], of: 0, problem: null, done: false };

async function dayOf(place: PlaceSummary, view: View): Promise<Day> {
  const exposures = await call('getExposures', { params: { id: place.id }, query: spanQuery(view) });
  return { air: doseOf(view, exposures, 'air'), rootZone: doseOf(view, exposures, 'rootZone') };
}

/** Asks for one day after the other, today last, and shows how far it is. */
function useDays(place: PlaceSummary): Progress {
  const [progress, setProgress] = useState(WAITING);
  const [again, setAgain] = useState(0);
  const before = useRef<{ settings: string; days: readonly Day[] }>({ settings: '', days: [] });
  const settings = JSON.stringify(place.settings);
  const round = Math.floor(nowMs.value / RENEW_MS);
  const live = link.value === 'live';
  useEffect(() => {
    if (live && progress.problem !== null) setAgain((n) => n + 1);
  }, [live]);
  useEffect(() => {
    let current = true;
    const run = async () => {
      const { recordStart } = await call('getPlace', { params: { id: place.id } });
      const startMs = recordStart === null ? Number.POSITIVE_INFINITY : Date.parse(recordStart);
      const views = localDays({ nowMs: nowMs.peek(), timeZone: timeZone.peek(), count: MOST_DAYS, startMs });
      // late readings may still come for yesterday; older days are asked for once
      const kept = before.current.settings === settings ? before.current.days.slice(0, -2) : [];
      const days: Day[] = [];
      for (const view of views) {
        const known = kept.find(({ air }) => air.view.fromMs === view.fromMs);
        days.push(known ?? (await dayOf(place, view)));
        if (!current) return;
        // a renewal stays quiet until it is through
        setProgress((was) => (was.done ? was : { ...WAITING, days: [...days], of: views.length }));
      }
      before.current = { settings, days };
      setProgress({ days, of: views.length, problem: null, done: true });
    };
    run().catch((thrown: unknown) => {
      if (current) setProgress((was) => ({ ...was, problem: problemWords(thrown) }));
    });
    return () => {
      current = false;
    };
  }, [place.id, round, again, settings, JSON.stringify(place.targets)]);
  return progress;
}

const dayName = ({ view }: DayDose) => {
  const at = { atMs: view.fromMs, timeZone: timeZone.value };
  return `${weekday(at)} ${calendarDay(at)}`;
};
const dayNumber = ({ view }: DayDose) =>
  calendarDay({ atMs: view.fromMs, timeZone: timeZone.value }).split(' ')[0];

function Bars({
  doses,
  most,
  layer,
  widthPx,
}: {
  doses: readonly DayDose[];
  most: number;
  layer: Layer;
  widthPx: number;
}) {
  const innerPx = Math.max(1, widthPx - GUTTER_PX);
  const bars = barsOf(doses, { widthPx: innerPx, sidePx: SIDE_PX, most });
  const scaleText = fixed(readingDifference(most, unit.value), 0);
  const every = Math.ceil((LEAST_SLOT_PX * doses.length) / innerPx);
  const worst = doses.reduce((sum, { belowCh }) => Math.max(sum, belowCh), 0);
  const label = `${NAMES[layer]}: degree-hours a day of ${doses.length} days, at most ${degreeHoursText(worst, unit.value)} below its band`;
  return (
    <svg width={widthPx} height={2 * SIDE_PX + LABEL_PX} role="img" aria-label={label}>
      <text class="end" x={GUTTER_PX - 6} y={10}>{`+${scaleText}`}</text>
      <text class="end" x={GUTTER_PX - 6} y={SIDE_PX + 4}>
        0
      </text>
      <text class="end" x={GUTTER_PX - 6} y={2 * SIDE_PX}>{`−${scaleText}`}</text>
      <g transform={`translate(${GUTTER_PX} 0)`}>
        {bars.map((bar, i) => {
          const dose = doses[i] as DayDose;
          const middle = bar.x + bar.width / 2;
          return (
            <g key={dose.view.fromMs}>
              {dose.coveredHours < LEAST_HOURS && (
                <rect class="none" x={bar.x} y={SIDE_PX - 9} width={bar.width} height={18} />
              )}
              {bar.above > 0 && (
                <rect
                  class="excursion above"
                  x={bar.x}
                  y={SIDE_PX - bar.above}
                  width={bar.width}
                  height={bar.above}
                />
              )}
              {bar.below > 0 && (
                <rect class="excursion below" x={bar.x} y={SIDE_PX} width={bar.width} height={bar.below} />
              )}
              {(doses.length - 1 - i) % every === 0 && (
                <text class="middle" x={middle} y={2 * SIDE_PX + 13}>
                  {dayNumber(dose)}
                </text>
              )}
            </g>
          );
        })}
        <path class="zero" d={`M0 ${SIDE_PX}H${innerPx}`} />
      </g>
    </svg>
  );
}

function DayTable({ placeId, days }: { placeId: string; days: readonly Day[] }) {
  const cell = (dose: DayDose, of: string, value: number) => (
    <td>
      {dose.coveredHours < LEAST_HOURS ? (
        ''
      ) : (
        <Ask placeId={placeId} of={`exposures.${of}`} span={dose.view} about={dayName(dose)}>
          {of.endsWith('coveredHours') ? hoursText(value) : degreeHoursText(value, unit.value)}
        </Ask>
      )}
    </td>
  );
  return (
    <AskTable>
      <table class="light">
        <thead>
          <tr>
            <th scope="col">day</th>
            <th scope="col">air above</th>
            <th scope="col">air below</th>
            <th scope="col">root above</th>
            <th scope="col">root below</th>
            <th scope="col">on record</th>
          </tr>
        </thead>
        <tbody>
          {[...days].reverse().map(({ air, rootZone }) => (
            <tr key={air.view.fromMs}>
              <th scope="row">{dayName(air)}</th>
              {cell(air, 'air.degreeHoursAbove', air.aboveCh)}
              {cell(air, 'air.degreeHoursBelow', air.belowCh)}
              {cell(rootZone, 'rootZone.degreeHoursAbove', rootZone.aboveCh)}
              {cell(rootZone, 'rootZone.degreeHoursBelow', rootZone.belowCh)}
              {cell(rootZone, 'rootZone.coveredHours', rootZone.coveredHours)}
            </tr>
          ))}
        </tbody>
      </table>
    </AskTable>
  );
}

/** Degree-hours outside the band, day by day: up for above, down for below, air over root zone. */
export function DayBars({ place }: { place: PlaceSummary }) {
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const { days, of, problem, done } = useDays(place);
  const air = days.map((day) => day.air);
  const rootZone = days.map((day) => day.rootZone);
  const most = mostDose([...air, ...rootZone]);
  const drawnPx = Math.min(widthPx, 620);
  const isReady = days.length > 0 && widthPx > 0;
  return (
    <section class="picture" ref={ref}>
      <h2>Degree-hours a day</h2>
      {problem && <p class="problem">The days cannot be counted now: {problem}</p>}
      {!done && !problem && (
        <p class="quiet" role="status">
          {of === 0 ? 'Counting the days…' : `Counting: ${days.length} of ${of} days`}
        </p>
      )}
      {done && days.length === 0 && <p class="quiet">Nothing on record yet.</p>}
      {isReady && (
        <div class="day-bars">
          <h3>air</h3>
          <Bars doses={air} most={most} layer="air" widthPx={drawnPx} />
          <div class="soil">
            <h3>root zone</h3>
            <Bars doses={rootZone} most={most} layer="rootZone" widthPx={drawnPx} />
          </div>
          <p class="quiet">
            {degreeSign(unit.value)}·h outside the band each day: up is above, down is below. Dotted: nothing
            on record. Today counts up to now.
          </p>
          <details>
            <summary>These days in figures</summary>
            <Scrolling name="These days in figures">
              <DayTable placeId={place.id} days={days} />
            </Scrolling>
          </details>
        </div>
      )}
    </section>
  );
}
