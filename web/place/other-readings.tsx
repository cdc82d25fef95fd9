import { SERIES_QUANTITIES } from '../../shared/quantities.ts';
import type { PlaceSummary, SeriesName } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { DAY_MS } from '../bench/traces.ts';
import { Ask } from '../common/ask.tsx';
import { useLoaded } from '../common/hooks.ts';
import { momentWords } from '../common/time.ts';
import { useMarks } from '../diary/diary-api.ts';
import type { Mark } from '../diary/marks.ts';
import { nowMs, pointedMs, reader } from '../state.ts';
import { marksPath, plainPath, plainQuantities, plainText } from './other-readings.ts';

const RENEW_MS = 600_000;
const POINTS = 144;
const BOX = { width: 240, height: 40 };

/** The moment that is pointed at on the record, here too. */
function Pointed({ fromMs, toMs }: { readonly fromMs: number; readonly toMs: number }) {
  const atMs = pointedMs.value;
  if (atMs === null || atMs < fromMs || atMs > toMs) return null;
  const x = ((atMs - fromMs) / (toMs - fromMs)) * BOX.width;
  return <line class="pointed-line" x1={x} x2={x} y1={-2} y2={BOX.height + 2} />;
}

type ChartProps = { readonly placeId: string; readonly name: SeriesName; readonly marks: readonly Mark[] };

/** The last day, to the next ten minutes. */
function lastDay() {
  const toMs = (Math.floor(nowMs.value / RENEW_MS) + 1) * RENEW_MS;
  return { fromMs: toMs - DAY_MS, toMs };
}

/** The last day of one quantity as a small line, with what people wrote down. */
export function PlainChart({ placeId, name, marks }: ChartProps) {
  const { fromMs, toMs } = lastDay();
  const { value, problem } = useLoaded(`${placeId} ${name} ${toMs}`, () =>
    call('getSeries', {
      params: { id: placeId },
      query: { quantity: name, points: POINTS, ...spanQuery({ fromMs, toMs }) },
    }),
  );
  if (problem) return <span class="problem">The chart cannot be loaded: {problem}</span>;
  if (!value) return <span class="waiting">Loading…</span>;
  const points = value.points.map(({ t, value: y }) => ({ tMs: Date.parse(t), value: y }));
  const drawn = plainPath(points, { ...BOX, fromMs, toMs });
  if (!drawn) return <span class="hint">No readings in the last 24 hours.</span>;
  const { unit } = reader.value;
  const said = `Last 24 hours: lowest ${plainText(name, drawn.low, unit)}, highest ${plainText(name, drawn.high, unit)}`;
  return (
    <figure class="plain-chart">
      <svg
        viewBox={`0 -2 ${BOX.width} ${BOX.height + 4}`}
        preserveAspectRatio="none"
        role="img"
        aria-label={said}
      >
        <path class="line" d={drawn.path} />
        <path class="mark" d={marksPath(marks, { ...BOX, fromMs, toMs })} />
        <Pointed fromMs={fromMs} toMs={toMs} />
      </svg>
      <figcaption class="hint">{said}</figcaption>
    </figure>
  );
}

/** What probes measure that has no place of its own on the page, with its last day. */
export function OtherReadings({ place }: { place: PlaceSummary }) {
  const names = plainQuantities(place.now);
  const marks = useMarks(place.id, names.length === 0 ? null : lastDay());
  if (names.length === 0) return null;
  return (
    <section class="other-readings">
      <h2>Other readings</h2>
      <dl>
        {names.map((name) => {
          const now = place.now.quantities[name];
          if (!now) return null;
          return (
            <div key={name}>
              <dt>{SERIES_QUANTITIES[name].name}</dt>
              <dd>
                <Ask placeId={place.id} of={`now.${name}`}>
                  {plainText(name, now.value, reader.value.unit)}
                </Ask>
                {now.state === 'stale' && (
                  <span class="hint">
                    {' '}
                    out of date, read {momentWords({ atMs: Date.parse(now.at), ...reader.value })}
                  </span>
                )}
                <PlainChart placeId={place.id} name={name} marks={marks} />
              </dd>
            </div>
          );
        })}
      </dl>
    </section>
  );
}
