import { useEffect, useState } from 'preact/hooks';
import type { Exposures, TemperatureExposure } from '../../shared/wire/http.ts';
import { duration } from '../../shared/words/alarm.ts';
import { api } from '../api.ts';
import { degreeHoursText, fixed, hoursText, temperatureWithUnit } from '../state/format.ts';
import type { View } from '../state/plot.ts';
import { momentWords } from '../state/time.ts';
import { reader, unit } from '../state.ts';
import { useLoaded } from './hooks.ts';

const SETTLE_MS = 150;
const NONE = '–';
const MOST_DAYS = 10;
const LEAST_LIGHT_HOURS = 0.05;

function useSettled(view: View): View {
  const [settled, setSettled] = useState(view);
  useEffect(() => {
    const wait = setTimeout(() => setSettled(view), SETTLE_MS);
    return () => clearTimeout(wait);
  }, [view.fromMs, view.toMs]);
  return settled;
}

type Row = {
  readonly name: string;
  readonly cells: readonly (string | null)[];
  readonly tone?: 'below' | 'above';
};

const degrees = (value: number | null) => (value === null ? NONE : temperatureWithUnit(value, unit.value));
const kpa = (value: number | null) => (value === null ? NONE : `${fixed(value, 2)}\u00a0kPa`);
const kpaHours = (value: number) => `${fixed(value, 2)}\u00a0kPa·h`;

function rowsOf({ air, vpd, rootZone }: Exposures): Row[] {
  const temperatures = (pick: (exposure: TemperatureExposure) => string) =>
    [pick(air), pick(rootZone)] as const;
  const row = (name: string, ofTemperature: (e: TemperatureExposure) => string, ofVpd: string): Row => {
    const [ofAir, ofRoot] = temperatures(ofTemperature);
    return { name, cells: [ofAir, ofVpd, ofRoot] };
  };
  return [
    { ...row('hours above', (e) => hoursText(e.hoursAbove), hoursText(vpd.hoursAbove)), tone: 'above' },
    row('hours within', (e) => hoursText(e.hoursWithin), hoursText(vpd.hoursWithin)),
    { ...row('hours below', (e) => hoursText(e.hoursBelow), hoursText(vpd.hoursBelow)), tone: 'below' },
    {
      ...row(
        'degree-hours above',
        (e) => degreeHoursText(e.degreeHoursAbove, unit.value),
        kpaHours(vpd.kpaHoursAbove),
      ),
      tone: 'above',
    },
    {
      ...row(
        'degree-hours below',
        (e) => degreeHoursText(e.degreeHoursBelow, unit.value),
        kpaHours(vpd.kpaHoursBelow),
      ),
      tone: 'below',
    },
    { name: 'hours over ceiling', cells: [hoursText(air.hoursOverCeiling), null, null], tone: 'above' },
    {
      name: 'degree-hours over ceiling',
      cells: [degreeHoursText(air.degreeHoursOverCeiling, unit.value), null, null],
      tone: 'above',
    },
    row('highest', (e) => degrees(e.maxC), kpa(vpd.maxKpa)),
    row('mean', (e) => degrees(e.meanC), kpa(vpd.meanKpa)),
    row('lowest', (e) => degrees(e.minC), kpa(vpd.minKpa)),
    row('hours on record', (e) => hoursText(e.coveredHours), hoursText(vpd.coveredHours)),
  ];
}

function WetAndLight({ exposures }: { exposures: Exposures }) {
  const { saturation, light } = exposures;
  const days = light.days.filter((day) => day.coveredHours >= LEAST_LIGHT_HOURS).slice(-MOST_DAYS);
  return (
    <>
      <p>
        {saturation.coveredHours === 0
          ? 'No humidity on record.'
          : `Saturated ${hoursText(saturation.hoursSaturated)} of ${hoursText(saturation.coveredHours)} on record.`}
      </p>
      {days.length > 0 && (
        <table class="light">
          <caption>Light a day</caption>
          <thead>
            <tr>
              <th scope="col">day</th>
              <th scope="col">mol m⁻² d⁻¹</th>
              <th scope="col">on record</th>
            </tr>
          </thead>
          <tbody>
            {days.map((day) => (
              <tr key={day.date}>
                <th scope="row">{day.date}</th>
                <td>{fixed(day.dliMolM2, 1)}</td>
                <td>{hoursText(day.coveredHours)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}

/** Hours and degree-hours below, within and above for the span in view, in the order of the section. */
export function SpanTable({ placeId, view, whole }: { placeId: string; view: View; whole: boolean }) {
  const settled = useSettled(view);
  const key = `${placeId} ${settled.fromMs} ${settled.toMs} ${reader.value.unit}`;
  const { value, problem } = useLoaded(key, () => api.exposures(placeId, settled));
  const words = (atMs: number) => momentWords({ atMs, ...reader.value });
  return (
    <div class="span-table">
      <h3>{whole ? 'In the span shown' : 'In the span chosen'}</h3>
      <p class="quiet">
        {words(view.fromMs)} to {words(view.toMs)}, {duration(view.toMs - view.fromMs)}
      </p>
      {problem && <p class="problem">It cannot be counted now: {problem}</p>}
      {!value && !problem && <p class="waiting">Counting…</p>}
      {value && (
        <>
          <table class="counts">
            <thead>
              <tr>
                <td />
                <th scope="col">air</th>
                <th scope="col">leaf (air VPD)</th>
                <th scope="col">root zone</th>
              </tr>
            </thead>
            <tbody>
              {rowsOf(value).map((row) => (
                <tr key={row.name}>
                  <th scope="row">{row.name}</th>
                  {row.cells.map((cell, i) => (
                    <td key={i} class={cell && Number.parseFloat(cell) > 0 ? row.tone : undefined}>
                      {cell}
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
          <WetAndLight exposures={value} />
        </>
      )}
    </div>
  );
}
