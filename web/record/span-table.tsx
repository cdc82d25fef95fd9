import type { Exposures } from '../../shared/wire/http.ts';
import { duration } from '../../shared/words/alarm.ts';
import { Ask, AskTable } from '../common/ask.tsx';
import { fixed, hoursText } from '../common/format.ts';
import type { Loaded } from '../common/hooks.ts';
import type { View } from '../common/plot.ts';
import { momentWords } from '../common/time.ts';
import { reader, unit } from '../state.ts';
import { countRows } from './span-table.ts';

const MOST_DAYS = 10;
const LEAST_LIGHT_HOURS = 0.05;

/** The span an answer is about, which may be older than the one just chosen. */
export function spanOf({ from, to }: { from: string; to: string }): View {
  return { fromMs: Date.parse(from), toMs: Date.parse(to) };
}

function Counts({ exposures }: { exposures: Exposures }) {
  const { placeId } = exposures;
  const span = spanOf(exposures);
  return (
    <AskTable>
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
          {countRows(exposures, unit.value).map((row) => (
            <tr key={row.name}>
              <th scope="row">{row.name}</th>
              {row.cells.map((cell, i) => (
                <td key={i} class={cell?.tone ?? undefined}>
                  {cell?.path ? (
                    <Ask placeId={placeId} of={`exposures.${cell.path}`} span={span}>
                      {cell.text}
                    </Ask>
                  ) : (
                    cell?.text
                  )}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </AskTable>
  );
}

type LightDay = Exposures['light']['days'][number];

function LightTable({ exposures }: { exposures: Exposures }) {
  const { placeId } = exposures;
  const span = spanOf(exposures);
  const days = exposures.light.days
    .map((day, i) => ({ day, i }))
    .filter(({ day }) => day.coveredHours >= LEAST_LIGHT_HOURS)
    .slice(-MOST_DAYS);
  if (days.length === 0) return null;
  const cell = (at: { day: LightDay; i: number }, field: keyof LightDay, text: string) => (
    <td>
      <Ask placeId={placeId} of={`exposures.light.days.${at.i}.${field}`} span={span} about={at.day.date}>
        {text}
      </Ask>
    </td>
  );
  return (
    <AskTable>
      <table class="light">
        <caption>Light a day</caption>
        <thead>
          <tr>
            <th scope="col">day</th>
            <th scope="col">mol m⁻²</th>
            <th scope="col">photoperiod</th>
            <th scope="col">on record</th>
          </tr>
        </thead>
        <tbody>
          {days.map((at) => (
            <tr key={at.day.date}>
              <th scope="row">{at.day.date}</th>
              {cell(at, 'dliMolM2', fixed(at.day.dliMolM2, 1))}
              {cell(at, 'photoperiodHours', hoursText(at.day.photoperiodHours))}
              {cell(at, 'coveredHours', hoursText(at.day.coveredHours))}
            </tr>
          ))}
        </tbody>
      </table>
    </AskTable>
  );
}

function Saturated({ exposures }: { exposures: Exposures }) {
  const { saturation, placeId } = exposures;
  if (saturation.coveredHours === 0) return null;
  const asked = { placeId, span: spanOf(exposures) };
  return (
    <p>
      Saturated{' '}
      <Ask of="exposures.saturation.hoursSaturated" {...asked}>
        {hoursText(saturation.hoursSaturated)}
      </Ask>{' '}
      of{' '}
      <Ask of="exposures.saturation.coveredHours" {...asked}>
        {hoursText(saturation.coveredHours)}
      </Ask>{' '}
      on record.
    </p>
  );
}

type SpanTableProps = {
  readonly view: View;
  readonly whole: boolean;
  readonly counted: Loaded<Exposures | null>;
};

/** Hours and degree-hours below, within and above for the span in view, in the order of the section. */
export function SpanTable({ view, whole, counted }: SpanTableProps) {
  const { value, problem } = counted;
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
          <Counts exposures={value} />
          <Saturated exposures={value} />
          <LightTable exposures={value} />
        </>
      )}
    </div>
  );
}
