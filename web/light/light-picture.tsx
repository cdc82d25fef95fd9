import type { LightDay } from '../../shared/wire/places/light.ts';
import { fixed, hoursText } from '../common/format.ts';
import { useWidth } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { calendarDay, weekday } from '../common/time.ts';
import { type Mark, placedMarks } from '../diary/marks.ts';
import { timeZone } from '../state.ts';
import { isWhole, lightBars, lightWords, scaleMol, spanOf, stateOf, wantedText } from './light-days.ts';

const HEIGHT_PX = 96;
const GUTTER_PX = 44;
const LABEL_PX = 16;
const LEAST_SLOT_PX = 34;
const MOST_PX = 720;

const dayAt = ({ from }: LightDay) => ({ atMs: Date.parse(from), timeZone: timeZone.value });
const dayNumber = (day: LightDay) => calendarDay(dayAt(day)).split(' ')[0];
const dayName = (day: LightDay) => `${weekday(dayAt(day))} ${calendarDay(dayAt(day))}`;

/** Light a day against what is wanted, with what people wrote down; the same in figures below. */
export function LightPicture({
  days,
  marks,
}: {
  readonly days: readonly LightDay[];
  readonly marks: readonly Mark[];
}) {
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  return (
    <div class="light-picture" ref={ref}>
      <p>{lightWords(days)}</p>
      {widthPx > 0 && <Bars days={days} marks={marks} widthPx={Math.min(widthPx, MOST_PX)} />}
      <p class="quiet">
        mol m⁻² a day; shaded is what is wanted. Hollow: only a part of the day is on record.
        {marks.length > 0 && ' Dotted lines: the diary.'}
      </p>
      <details>
        <summary>These days in figures</summary>
        <Scrolling name="Light a day in figures">
          <LightTable days={days} />
        </Scrolling>
      </details>
    </div>
  );
}

type BarsProps = {
  readonly days: readonly LightDay[];
  readonly marks: readonly Mark[];
  readonly widthPx: number;
};

function Bars({ days, marks, widthPx }: BarsProps) {
  const span = spanOf(days);
  if (span === null) return null;
  const innerPx = Math.max(1, widthPx - GUTTER_PX);
  const bars = lightBars(days, { widthPx: innerPx, heightPx: HEIGHT_PX });
  const every = Math.ceil((LEAST_SLOT_PX * days.length) / innerPx);
  const x = (atMs: number) => ((atMs - span.fromMs) / (span.toMs - span.fromMs)) * innerPx;
  const seen = marks.filter(({ atMs }) => atMs >= span.fromMs && atMs <= span.toMs);
  return (
    <svg
      class="light-bars"
      width={widthPx}
      height={HEIGHT_PX + LABEL_PX}
      role="img"
      aria-label={`Light a day of ${days.length} days, in mol per square metre. The table below has the same numbers.`}
    >
      <text class="end" x={GUTTER_PX - 6} y={10}>
        {fixed(scaleMol(days), 0)}
      </text>
      <text class="end" x={GUTTER_PX - 6} y={HEIGHT_PX}>
        0
      </text>
      <g transform={`translate(${GUTTER_PX} 0)`}>
        {bars.map(({ day, band }) => {
          const [left, right] = [x(Date.parse(day.from)), x(Date.parse(day.to))];
          return (
            band && (
              <rect
                key={day.date}
                class="wanted"
                x={left}
                y={band.y}
                width={right - left}
                height={Math.max(1, band.height)}
              />
            )
          );
        })}
        {bars.map(({ day, ...bar }, i) => (
          <g key={day.date}>
            <rect
              class={`light ${isWhole(day) ? (stateOf(day) ?? 'within') : 'part'}`}
              x={bar.x}
              y={bar.y}
              width={bar.width}
              height={Math.max(1, bar.height)}
            />
            {(days.length - 1 - i) % every === 0 && (
              <text class="middle" x={bar.x + bar.width / 2} y={HEIGHT_PX + 13}>
                {dayNumber(day)}
              </text>
            )}
          </g>
        ))}
        {placedMarks(seen, { x, right: innerPx }).map((mark) => (
          <g key={`${mark.x} ${mark.label}`} class="mark">
            <path d={`M${mark.x} 0v${HEIGHT_PX}`} />
            {mark.label !== null && (
              <text class={mark.side} x={mark.side === 'right' ? mark.x + 3 : mark.x - 3} y={10}>
                {mark.label}
              </text>
            )}
          </g>
        ))}
        <path class="zero" d={`M0 ${HEIGHT_PX}H${innerPx}`} />
      </g>
    </svg>
  );
}

const STATES = { below: 'less than wanted', within: 'as wanted', above: 'more than wanted' } as const;

function LightTable({ days }: { readonly days: readonly LightDay[] }) {
  return (
    <table class="counts">
      <thead>
        <tr>
          <th scope="col">day</th>
          <th scope="col">light, mol m⁻²</th>
          <th scope="col">wanted</th>
          <th scope="col">on record</th>
          <td />
        </tr>
      </thead>
      <tbody>
        {days.toReversed().map((day) => {
          const state = stateOf(day);
          return (
            <tr key={day.date}>
              <th scope="row">{dayName(day)}</th>
              <td>{fixed(day.dliMolM2, 1)}</td>
              <td>{wantedText(day)}</td>
              <td>{hoursText(day.coveredHours)}</td>
              <td>{state === null ? (isWhole(day) ? '' : 'not a whole day') : STATES[state]}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}
