import { useMemo } from 'preact/hooks';
import { celsiusFromFahrenheit } from '../../shared/quantities.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { traceOf } from '../bench/trace.ts';
import { DAY_MS } from '../bench/traces.ts';
import { degreeSign, fixed, readingTemperature, temperatureWithUnit, vpdText } from '../common/format.ts';
import { useLoaded, useWidth } from '../common/hooks.ts';
import type { ProbeRow } from '../probes/named.ts';
import { nowMs, unit } from '../state.ts';
import {
  type AirSpot,
  airTrail,
  axisTicks,
  bandPath,
  DEFICIT_LINES_KPA,
  deficitLine,
  dewLine,
  HIGHEST_PCT,
  type MapDomain,
  type MapScale,
  mapDomain,
  type Spot,
  spotsPath,
  trailByAge,
} from './climate-map.ts';
import { coldestSurface, type Surface } from './surface.ts';

const POINTS = 288;
const RENEW_MS = 300_000;
const MARGIN = { left: 40, right: 62, top: 10, bottom: 38 };
const MOST_WIDTH_PX = 620;
const AGES = 4;
const LABEL_APART_PX = 14;

type MapData = {
  readonly trail: readonly AirSpot[][];
  readonly probes: readonly ProbeRow[];
  readonly toMs: number;
};

async function loadMap(place: PlaceSummary): Promise<MapData> {
  const toMs = nowMs.peek();
  const span = spanQuery({ fromMs: toMs - DAY_MS, toMs });
  const series = (quantity: 'airTemperatureC' | 'relativeHumidityPct') =>
    call('getSeries', { params: { id: place.id }, query: { quantity, points: POINTS, ...span } });
  const [air, humidity, { probes }] = await Promise.all([
    series('airTemperatureC'),
    series('relativeHumidityPct'),
    call('listProbes'),
  ]);
  const record = { air: traceOf(air.points), humidity: traceOf(humidity.points) };
  const reachMs = Math.max(place.settings.maxGapMs, (1.5 * DAY_MS) / POINTS);
  return { trail: airTrail(record, reachMs), probes, toMs };
}

function presentSpot({ now }: PlaceSummary): Spot | null {
  const { airTemperatureC: air, relativeHumidityPct: humidity } = now.quantities;
  if (!air || !humidity || air.state === 'stale' || humidity.state === 'stale') return null;
  return { airC: air.value, humidityPct: Math.min(HIGHEST_PCT, humidity.value) };
}

function Axes({ domain, scale, size }: { domain: MapDomain; scale: MapScale; size: Size }) {
  const read = (airC: number) => readingTemperature(airC, unit.value);
  const ticks = axisTicks(read(domain.lowC), read(domain.highC), size.widthPx < 400 ? 5 : 8);
  const airOf = (tick: number) => (unit.value === 'C' ? tick : celsiusFromFahrenheit(tick));
  const bottom = size.heightPx;
  return (
    <g class="axes">
      {ticks.map((tick) => (
        <g key={tick}>
          <path d={`M${scale.x(airOf(tick))} 0V${bottom}`} />
          <text class="middle" x={scale.x(airOf(tick))} y={bottom + 15}>
            {tick}
          </text>
        </g>
      ))}
      {axisTicks(domain.lowPct, HIGHEST_PCT, 6).map((tick) => (
        <g key={tick}>
          <path d={`M0 ${scale.y(tick)}H${size.widthPx}`} />
          <text class="end" x={-6} y={scale.y(tick) + 4}>
            {tick}
          </text>
        </g>
      ))}
      <text class="middle name" x={size.widthPx / 2} y={bottom + 32}>
        air, {degreeSign(unit.value)}
      </text>
      <text class="middle name" transform={`translate(-30 ${bottom / 2}) rotate(-90)`}>
        humidity, %RH
      </text>
    </g>
  );
}

type Size = { readonly widthPx: number; readonly heightPx: number };
type DrawnProps = { readonly domain: MapDomain; readonly scale: MapScale; readonly size: Size };

/** A line's name stands where the line leaves the map: at its right edge, or nowhere when it runs below. */
function LineNames({ domain, scale, size, dew }: DrawnProps & { dew: readonly Spot[] }) {
  const ends = DEFICIT_LINES_KPA.map((kpa) => ({ kpa, end: deficitLine(kpa, domain).at(-1) })).filter(
    ({ end }) => end && end.humidityPct > domain.lowPct,
  );
  const placed: number[] = [];
  const free = (y: number) => placed.every((other) => Math.abs(other - y) >= LABEL_APART_PX);
  const last = dew.at(-1);
  return (
    <g class="line-names">
      {ends.map(({ kpa, end }) => {
        const y = scale.y(end?.humidityPct ?? 0);
        if (!free(y)) return null;
        placed.push(y);
        return (
          <text key={kpa} x={size.widthPx + 4} y={y + 4}>
            {`${fixed(kpa, 1)} kPa`}
          </text>
        );
      })}
      {last && (
        <text
          class="dew-name end"
          x={size.widthPx - 6}
          y={Math.min(size.heightPx - 6, scale.y(last.humidityPct) - 6)}
        >
          dew
        </text>
      )}
    </g>
  );
}

function Trail({ data, scale }: { data: MapData; scale: MapScale }) {
  const parts = trailByAge(data.trail, { fromMs: data.toMs - DAY_MS, toMs: data.toMs, parts: AGES });
  return (
    <g class="trail">
      {parts.map((runs, age) => (
        <path key={age} class={`age-${age}`} d={runs.map((run) => spotsPath(run, scale)).join('')} />
      ))}
    </g>
  );
}

type DrawingProps = {
  readonly place: PlaceSummary;
  readonly data: MapData;
  readonly surface: Surface | null;
  readonly now: Spot | null;
  readonly widthPx: number;
};

function Drawing({ place, data, surface, now, widthPx }: DrawingProps) {
  const outer = Math.min(widthPx, MOST_WIDTH_PX);
  const size = { widthPx: outer - MARGIN.left - MARGIN.right, heightPx: Math.round(outer * 0.52) };
  const spots = [...data.trail.flat(), ...(now ? [now] : [])];
  const domain = mapDomain(spots);
  const scale: MapScale = {
    x: (airC) => ((airC - domain.lowC) / (domain.highC - domain.lowC)) * size.widthPx,
    y: (pct) => ((HIGHEST_PCT - pct) / (HIGHEST_PCT - domain.lowPct)) * size.heightPx,
  };
  const dew = surface ? dewLine(surface.temperatureC, domain) : [];
  const range = (of: (spot: Spot) => number) => spots.map(of).sort((a, b) => a - b);
  const airs = range(({ airC }) => airC);
  const humidities = range(({ humidityPct }) => humidityPct);
  const degrees = (value: number | undefined) => temperatureWithUnit(value ?? 0, unit.value);
  const label = `Air ${degrees(airs[0])} to ${degrees(airs.at(-1))}, humidity ${fixed(humidities[0] ?? 0, 0)} to ${fixed(humidities.at(-1) ?? 0, 0)} %RH in the last 24 h`;
  return (
    <svg
      class="climate-map"
      width={outer}
      height={size.heightPx + MARGIN.top + MARGIN.bottom}
      role="img"
      aria-label={label}
    >
      <g transform={`translate(${MARGIN.left} ${MARGIN.top})`}>
        <svg class="inside" width={size.widthPx} height={size.heightPx} aria-hidden="true">
          <path class="band" d={bandPath(place.targets.vpd, domain, scale)} />
          {DEFICIT_LINES_KPA.map((kpa) => (
            <path key={kpa} class="deficit" d={spotsPath(deficitLine(kpa, domain), scale)} />
          ))}
          {dew.length > 0 && <path class="dew" d={spotsPath(dew, scale)} />}
        </svg>
        <Axes domain={domain} scale={scale} size={size} />
        <Trail data={data} scale={scale} />
        <LineNames domain={domain} scale={scale} size={size} dew={dew} />
        {now && (
          <>
            <circle class="now" cx={scale.x(now.airC)} cy={scale.y(now.humidityPct)} r={5} />
            <text class="now-name" x={scale.x(now.airC) + 9} y={scale.y(now.humidityPct) - 7}>
              now
            </text>
          </>
        )}
      </g>
    </svg>
  );
}

function surfaceWords(surface: Surface | null): string {
  if (!surface) return 'No wall probe, so no dew line.';
  const at = temperatureWithUnit(surface.temperatureC, unit.value);
  if (surface.kind === 'wall') return `Air above the dashed line wets the wall, now at ${at}.`;
  return `Air above the dashed line would wet a surface as cold as outside, now ${at}; no wall probe, so outside stands in.`;
}

/** Temperature against humidity: lines of equal deficit, the band, the dew line, the last day as a trail. */
export function ClimateMap({ place }: { place: PlaceSummary }) {
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem } = useLoaded(`${place.id} ${round} ${place.settings.maxGapMs}`, () =>
    loadMap(place),
  );
  const surface = useMemo(
    () =>
      value &&
      coldestSurface(value.probes, {
        placeId: place.id,
        nowMs: value.toMs,
        staleAfterMs: place.settings.maxGapMs,
      }),
    [value, place.id, place.settings.maxGapMs],
  );
  const now = presentSpot(place);
  const isEmpty = value !== null && value.trail.length === 0 && !now;
  const { lowKpa, highKpa } = place.targets.vpd;
  return (
    <section class="picture" ref={ref}>
      <h2>Temperature against humidity</h2>
      {problem && <p class="problem">The map cannot be drawn now: {problem}</p>}
      {!value && !problem && <p class="quiet">Fetching the last 24 h…</p>}
      {isEmpty && <p class="quiet">It needs air temperature and humidity.</p>}
      {value && !isEmpty && widthPx > 0 && (
        <>
          <Drawing place={place} data={value} surface={surface} now={now} widthPx={widthPx} />
          <p class="quiet">
            The last 24 h as a trail, older fainter. Lines join airs of equal VPD; shaded is the band,{' '}
            {vpdText(lowKpa)} to {vpdText(highKpa)} kPa. {surfaceWords(surface)}
          </p>
        </>
      )}
    </section>
  );
}
