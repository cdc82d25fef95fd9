import type { PlaceSummary } from '../../shared/wire/http.ts';
import type { EarlyNotices, ForecastAnswer, ForecastQuantity } from '../../shared/wire/places/forecast.ts';
import { call } from '../api.ts';
import { degreeSign, temperatureText, temperatureWithUnit } from '../common/format.ts';
import { useLoaded, useWidth } from '../common/hooks.ts';
import { clockTime } from '../common/time.ts';
import { nowMs, reader, timeZone, traces, unit } from '../state.ts';
import { fanOf } from './fan.ts';
import { forecastSentence, noticesSentence, skillSentence } from './words.ts';

const RENEW_MS = 60_000;
const HEIGHT_PX = 130;
const LABEL_PX = 18;
const GUTTER_PX = 44;
const MOST_PX = 620;

const QUANTITIES = [
  ['airTemperatureC', 'air'],
  ['rootZoneTemperatureC', 'rootZone'],
] as const satisfies readonly (readonly [ForecastQuantity, 'air' | 'rootZone'])[];

/** The next two hours of a place, as far as its own record says. */
export function NextHours({ place }: { readonly place: PlaceSummary }) {
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value } = useLoaded(`forecast ${place.id} ${round}`, () =>
    Promise.all(
      QUANTITIES.map(([quantity]) => call('getForecast', { params: { id: place.id }, query: { quantity } })),
    ),
  );
  const notices = useLoaded(`notices ${place.id} ${Math.floor(round / 10)}`, () => call('listEarlyNotices'));
  const own = notices.value?.places.filter(({ placeId }) => placeId === place.id) ?? [];
  const answers = value?.filter(({ reason }) => reason !== 'no-probe') ?? [];
  // the box whose width is measured is there from the first
  return (
    <div ref={ref}>
      {answers.length > 0 && <Answers answers={answers} own={own} place={place} widthPx={widthPx} />}
    </div>
  );
}

type AnswersProps = {
  readonly answers: readonly ForecastAnswer[];
  readonly own: readonly EarlyNotices[];
  readonly place: PlaceSummary;
  readonly widthPx: number;
};

function Answers({ answers, own, place, widthPx }: AnswersProps) {
  return (
    <section class="picture next-hours" data-testid="forecast">
      <h2>The next two hours, an estimate</h2>
      {answers.map((answer) => (
        <One
          key={answer.quantity}
          placeId={place.id}
          answer={answer}
          byDay={isDay(place.id)}
          widthPx={Math.min(widthPx, MOST_PX)}
        />
      ))}
      {own.map((one) => (
        <p class="quiet" key={one.rule}>
          {noticesSentence(one)}
        </p>
      ))}
    </section>
  );
}

/** Day by the targets of the place. */
function isDay(placeId: string): boolean {
  const bands = traces.value[placeId]?.bands ?? [];
  const now = bands.find(({ from, to }) => Date.parse(from) <= nowMs.value && nowMs.value < Date.parse(to));
  return now ? !now.night : false;
}

type OneProps = {
  readonly placeId: string;
  readonly answer: ForecastAnswer;
  readonly byDay: boolean;
  readonly widthPx: number;
};

function One({ placeId, answer, byDay, widthPx }: OneProps) {
  const layer = answer.quantity === 'airTemperatureC' ? 'air' : 'rootZone';
  const said = forecastSentence(answer, { byDay }, reader.value);
  return (
    <div class={layer === 'air' ? 'fan' : 'fan soil'}>
      <h3>{layer === 'air' ? 'air' : 'root zone'}</h3>
      {said && (
        <p>
          <span class="estimate">{said.estimate}</span>
          {said.rest}
        </p>
      )}
      {said && widthPx > GUTTER_PX && (
        <Chart placeId={placeId} answer={answer} layer={layer} widthPx={widthPx} />
      )}
      <p class="quiet">{skillSentence(answer, reader.value)}</p>
      {said && <Table answer={answer} />}
    </div>
  );
}

type ChartProps = Omit<OneProps, 'byDay'> & { readonly layer: 'air' | 'rootZone' };

function Chart({ placeId, answer, layer, widthPx }: ChartProps) {
  const innerPx = widthPx - GUTTER_PX;
  const trace = traces.value[placeId]?.traces[layer] ?? [];
  const fan = fanOf(answer, trace, { widthPx: innerPx, heightPx: HEIGHT_PX });
  const last = answer.points.at(-1);
  const time = (text: string) => clockTime({ atMs: Date.parse(text), timeZone: timeZone.value });
  const label = `The last two hours and an estimate of the next two, up to ${time(last?.t ?? answer.at)}`;
  return (
    <svg width={widthPx} height={HEIGHT_PX + LABEL_PX} role="img" aria-label={label}>
      <text class="end" x={GUTTER_PX - 6} y={12}>
        {temperatureText(fan.high, unit.value)}
      </text>
      <text class="end" x={GUTTER_PX - 6} y={HEIGHT_PX}>
        {temperatureText(fan.low, unit.value)}
      </text>
      <g transform={`translate(${GUTTER_PX} 0)`}>
        <path class="fan-bounds" d={fan.fan} />
        {fan.limitY !== null && <path class="fan-limit" d={`M0 ${fan.limitY}H${innerPx}`} />}
        <path class="fan-now" d={`M${fan.nowX} 0V${HEIGHT_PX}`} />
        <path class="fan-read" d={fan.read} />
        <path class="fan-middle" d={fan.middle} />
        <text class="middle" x={fan.nowX} y={HEIGHT_PX + 14}>
          {time(answer.at)}
        </text>
        <text class="end" x={innerPx} y={HEIGHT_PX + 14}>
          {last ? time(last.t) : ''}
        </text>
      </g>
    </svg>
  );
}

/** Every 20 min in figures. */
function Table({ answer }: { readonly answer: ForecastAnswer }) {
  return (
    <details>
      <summary>This estimate in figures</summary>
      <table class="light">
        <thead>
          <tr>
            <th scope="col">time</th>
            <th scope="col">{degreeSign(unit.value)}</th>
            <th scope="col">four of five between</th>
          </tr>
        </thead>
        <tbody>
          {answer.points
            .filter((_, n) => n % 4 === 3)
            .map(({ t, value, low80, high80 }) => (
              <tr key={t}>
                <th scope="row">{clockTime({ atMs: Date.parse(t), timeZone: timeZone.value })}</th>
                <td>
                  <span class="estimate">{temperatureText(value, unit.value)}</span>
                </td>
                <td>
                  {temperatureWithUnit(low80, unit.value)} and {temperatureWithUnit(high80, unit.value)}
                </td>
              </tr>
            ))}
        </tbody>
      </table>
    </details>
  );
}
