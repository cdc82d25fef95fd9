import type { ForecastAnswer } from '../../shared/wire/places/forecast.ts';

type Spot = { readonly tMs: number; readonly value: number };

/** What the small chart draws, in px. */
type Fan = {
  /** the last hours as they were read, one path a covered stretch */
  readonly read: string;
  readonly middle: string;
  readonly fan: string;
  readonly nowX: number;
  /** where the limit lies; null where that is out of sight */
  readonly limitY: number | null;
  readonly low: number;
  readonly high: number;
};

type Size = { readonly widthPx: number; readonly heightPx: number };

/** Time before now that is drawn, ms: as long as the forecast reaches. */
const BEFORE_MS = 2 * 3_600_000;
const AHEAD_MS = 2 * 3_600_000;
/** The drawing never shows less than this, K, so that noise does not look like weather. */
const LEAST_RANGE = 2;
/** A limit so far off, as a share of what is drawn, is left out. */
const LIMIT_REACH = 1;

/** The last two hours and the next two, with the bounds between which four of five values lie. */
export function fanOf(
  answer: ForecastAnswer,
  trace: readonly { readonly tMs: number; readonly value: number | null }[],
  { widthPx, heightPx }: Size,
): Fan {
  const atMs = Date.parse(answer.at);
  const ahead = answer.points.map(({ t, ...point }) => ({ tMs: Date.parse(t), ...point }));
  const recent = trace.filter(({ tMs }) => tMs >= atMs - BEFORE_MS && tMs <= atMs);
  const start = answer.newest ?? ahead[0]?.value ?? 0;
  const values = [
    ...recent.flatMap(({ value }) => value ?? []),
    start,
    ...ahead.flatMap(({ low80, high80 }) => [low80, high80]),
  ];
  const { low, high } = rangeOf(values, answer.limit?.value ?? null);
  const x = (tMs: number) => ((tMs - atMs + BEFORE_MS) / (BEFORE_MS + AHEAD_MS)) * widthPx;
  const y = (value: number) => heightPx - ((value - low) / (high - low)) * heightPx;
  const spot = ({ tMs, value }: Spot) => `${x(tMs).toFixed(1)} ${y(value).toFixed(1)}`;
  const line = (spots: readonly Spot[]) => (spots.length === 0 ? '' : `M${spots.map(spot).join('L')}`);
  const from = { tMs: atMs, value: start };
  const upper = ahead.map(({ tMs, high80 }) => ({ tMs, value: high80 }));
  const lower = ahead.map(({ tMs, low80 }) => ({ tMs, value: low80 })).reverse();
  const limit = answer.limit?.value ?? null;
  return {
    read: stretches(recent).map(line).join(''),
    middle: line([from, ...ahead]),
    fan: `${line([from, ...upper, ...lower])}Z`,
    nowX: x(atMs),
    limitY: limit === null || limit < low || limit > high ? null : y(limit),
    low,
    high,
  };
}

function rangeOf(values: readonly number[], limit: number | null): { low: number; high: number } {
  let [low, high] = [Math.min(...values), Math.max(...values)];
  const lacking = Math.max(0, LEAST_RANGE - (high - low)) / 2;
  [low, high] = [low - lacking, high + lacking];
  const reach = (high - low) * LIMIT_REACH;
  if (limit !== null && limit > low - reach && limit < high + reach)
    [low, high] = [Math.min(low, limit), Math.max(high, limit)];
  const margin = (high - low) * 0.08;
  return { low: low - margin, high: high + margin };
}

/** A gap is a point without a value: nothing is drawn across it. */
function stretches(trace: readonly { readonly tMs: number; readonly value: number | null }[]): Spot[][] {
  const found: Spot[][] = [[]];
  for (const { tMs, value } of trace) {
    if (value === null) found.push([]);
    else found.at(-1)?.push({ tMs, value });
  }
  return found;
}
