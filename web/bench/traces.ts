import type { PlaceSummary, SeriesName, TracesAnswer } from '../../shared/wire/http.ts';
import type { LiveMessage } from '../../shared/wire/live.ts';
import { call } from '../api.ts';
import { applyLive } from '../frame/apply.ts';
import { known, link, nowMs, type PlaceTraces, route, traces } from '../state.ts';
import { mayBeSilent } from './rank.ts';
import { type Layer, traceIn, withLive } from './trace.ts';

export const DAY_MS = 86_400_000;
const REFETCH_MS = 600_000;
const SETTLE_MS = 2_000;

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
/** places whose last day is to be fetched after a while, and those whose while is over */
const waiting = new Set<string>();
const due = new Set<string>();
/** places being fetched */
const fetching = new Set<string>();
/** Most places of one request; the daemon answers no more. */
const MOST_AT_ONCE = 50;

function put(placeIds: readonly string[], changeOf: (placeId: string) => Partial<PlaceTraces>): void {
  const changed = placeIds.map((id) => [id, { ...(traces.value[id] ?? NO_TRACES), ...changeOf(id) }]);
  traces.value = { ...traces.value, ...Object.fromEntries(changed) };
}

async function fetchTraces(placeIds: readonly string[]): Promise<void> {
  const fetchedAtMs = nowMs.value;
  for (const id of placeIds) fetching.add(id);
  put(placeIds, () => ({ fetchedAtMs }));
  try {
    const answer = await call('getTraces', { query: { placeIds: placeIds.join() } });
    const fetched = new Map(answer.places.map((place) => [place.placeId, place]));
    put(
      placeIds.filter((id) => fetched.has(id)),
      (id) => readTraces(answer, fetched.get(id)),
    );
  } catch {
    put(placeIds, (id) => {
      const phase = traces.value[id]?.phase === 'ready' ? 'ready' : 'failed';
      return { phase, fetchedAtMs: 0 };
    });
  } finally {
    for (const id of placeIds) fetching.delete(id);
  }
}

function readTraces(
  { from, times }: TracesAnswer,
  place?: TracesAnswer['places'][number],
): Partial<PlaceTraces> {
  if (!place) return {};
  const { bands, exposures } = place;
  const points = (layer: Layer) => traceIn(place[layer], { fromMs: Date.parse(from), times });
  const read = { air: points('air'), vpd: points('vpd'), rootZone: points('rootZone') };
  return { phase: 'ready', traces: read, bands, exposures };
}

/** Whether the page shows places with their last day. */
function isDrawn(): boolean {
  return route.value.page === 'benches' || route.value.page === 'place';
}

/** Fetches whatever is due, in one request where that will do. */
function fetchDue(): void {
  const ids = [...due].filter((id) => !fetching.has(id));
  for (const id of ids) due.delete(id);
  // a place may be gone again by now, and so may the page that draws it
  const there = new Set(isDrawn() ? known.value.places.map(({ id }) => id) : []);
  const wanted = ids.filter((id) => there.has(id));
  for (let i = 0; i < wanted.length; i += MOST_AT_ONCE) {
    // what became due while it was being fetched is fetched again
    void fetchTraces(wanted.slice(i, i + MOST_AT_ONCE)).then(() => due.size > 0 && fetchDue());
  }
}

/** Fetches the last day of a place soon; several reasons within two seconds fetch once, and several places together. */
export function renewTraces(placeId: string, afterMs = SETTLE_MS): void {
  if (waiting.has(placeId)) return;
  waiting.add(placeId);
  window.setTimeout(() => {
    waiting.delete(placeId);
    due.add(placeId);
    // all whose while is over now
    if (due.size === 1) window.setTimeout(fetchDue, 0);
  }, afterMs);
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
  put([place.id], () => ({ traces: grown }));
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
