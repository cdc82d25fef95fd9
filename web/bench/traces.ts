import type { PlaceSummary, SeriesName } from '../../shared/wire/http.ts';
import type { LiveMessage } from '../../shared/wire/live.ts';
import { call, spanQuery } from '../api.ts';
import { applyLive } from '../frame/apply.ts';
import { known, link, nowMs, type PlaceTraces, route, traces } from '../state.ts';
import { mayBeSilent } from './rank.ts';
import { type Layer, traceOf, withLive } from './trace.ts';

export const DAY_MS = 86_400_000;
const REFETCH_MS = 600_000;
const SETTLE_MS = 2_000;
const POINTS = 288;

export const LAYER_SERIES: Readonly<Record<Layer, SeriesName>> = {
  air: 'airTemperatureC',
  vpd: 'airVpdKpa',
  rootZone: 'rootZoneTemperatureC',
};
const NO_TRACES: PlaceTraces = {
  phase: 'loading',
  fetchedAtMs: 0,
  traces: { air: [], vpd: [], rootZone: [] },
  bands: [],
  exposures: null,
};
const pending = new Map<string, number>();
/** places whose last day waits to be fetched, and how many are being fetched */
const queue: string[] = [];
let fetching = 0;
const MOST_FETCHING = 4;

function put(placeId: string, change: Partial<PlaceTraces>): void {
  const before = traces.value[placeId] ?? NO_TRACES;
  traces.value = { ...traces.value, [placeId]: { ...before, ...change } };
}

async function fetchTraces(placeId: string): Promise<void> {
  const toMs = nowMs.value;
  const fromMs = toMs - DAY_MS;
  const params = { id: placeId };
  const day = spanQuery({ fromMs, toMs });
  const series = (layer: Layer) =>
    call('getSeries', { params, query: { quantity: LAYER_SERIES[layer], points: POINTS, ...day } });
  put(placeId, { fetchedAtMs: toMs });
  try {
    const [air, vpd, rootZone, { bands }, exposures] = await Promise.all([
      series('air'),
      series('vpd'),
      series('rootZone'),
      call('getBands', { params, query: spanQuery({ fromMs, toMs: toMs + DAY_MS / 2 }) }),
      call('getExposures', { params, query: day }),
    ]);
    const fetched = {
      air: traceOf(air.points),
      vpd: traceOf(vpd.points),
      rootZone: traceOf(rootZone.points),
    };
    put(placeId, { phase: 'ready', traces: fetched, bands, exposures });
  } catch {
    const phase = traces.value[placeId]?.phase === 'ready' ? 'ready' : 'failed';
    put(placeId, { phase, fetchedAtMs: 0 });
  }
}

/** Fetches places one after the other, a few at a time: of hundreds each asks the daemon five questions. */
function enqueue(placeId: string): void {
  if (!queue.includes(placeId)) queue.push(placeId);
  while (fetching < MOST_FETCHING) {
    const next = queue.shift();
    if (next === undefined) return;
    fetching++;
    void fetchTraces(next).finally(() => {
      fetching--;
      const waiting = queue.shift();
      if (waiting !== undefined) enqueue(waiting);
    });
  }
}

/** Whether the page shows places with their last day. */
function isDrawn(): boolean {
  return route.value.page === 'benches' || route.value.page === 'place';
}

/** Fetches the last day of a place soon; several reasons within two seconds fetch once. */
export function renewTraces(placeId: string, afterMs = SETTLE_MS): void {
  if (pending.has(placeId)) return;
  const run = () => {
    pending.delete(placeId);
    // a place may be gone again by now, and so may the page that draws it
    if (isDrawn() && known.value.places.some(({ id }) => id === placeId)) enqueue(placeId);
  };
  pending.set(placeId, window.setTimeout(run, afterMs));
}

/** Fetches what is older than ten minutes or was never fetched. */
export function renewOldTraces(): void {
  if (!isDrawn()) return;
  for (const { id } of known.value.places) {
    const kept = traces.value[id];
    if (!kept || nowMs.value - kept.fetchedAtMs > REFETCH_MS) renewTraces(id, 0);
  }
}

function grow(place: PlaceSummary): void {
  const kept = traces.value[place.id];
  if (kept?.phase !== 'ready') return;
  const grown = { ...kept.traces };
  for (const layer of ['air', 'vpd', 'rootZone'] as const) {
    const newest = place.now.quantities[LAYER_SERIES[layer]];
    if (!newest) continue;
    grown[layer] = withLive(grown[layer], {
      atMs: Date.parse(newest.at),
      value: newest.value,
      maxGapMs: place.settings.maxGapMs,
      keepFromMs: nowMs.value - DAY_MS,
    });
  }
  put(place.id, { traces: grown });
}

/** No message arrives when a place stops reporting, so its state is requested. */
async function askNow(placeId: string): Promise<void> {
  const now = await call('getPlaceNow', { params: { id: placeId } }).catch(() => null);
  if (now) known.value = applyLive(known.value, { v: 1, seq: 0, type: 'now', atMs: nowMs.value, now });
}

/** Asks again for every place that has not reported for some minutes. */
export function refreshIdlePlaces(): void {
  if (link.value !== 'live') return;
  const { places, alarms } = known.value;
  for (const place of places) {
    if (mayBeSilent(place, { alarms, nowMs: nowMs.value })) void askNow(place.id);
  }
}

/** Keeps the traces in step with the live feed. */
export function followLive(message: LiveMessage): void {
  if (message.type === 'snapshot' || message.type === 'part') {
    for (const { id } of message.places) renewTraces(id, 0);
  } else if (message.type === 'now') {
    const place = known.value.places.find(({ id }) => id === message.now.placeId);
    if (place) grow(place);
  } else if (message.type === 'place') {
    renewTraces(message.place.id);
  } else if (message.type === 'alarm') {
    const { rule, placeId } = message.alarm;
    if (rule === 'no-data' && placeId !== null) void askNow(placeId);
  } else if (message.type === 'place-gone') {
    const { [message.placeId]: _gone, ...others } = traces.value;
    traces.value = others;
  }
}
