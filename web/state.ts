import { computed, signal } from '@preact/signals';
import type { BandSpan, TracesAnswer } from '../shared/wire/http.ts';
import type { LiveMessage } from '../shared/wire/live.ts';
import type { Reader } from '../shared/words/alarm.ts';
import { alarmWords } from '../shared/words/alarm.ts';
import type { Layer, TracePoint } from './bench/trace.ts';
import type { TemperatureUnit } from './common/format.ts';
import { readIn } from './common/time.ts';
import { agedPlace, applyLive, type Known, NOTHING_KNOWN, newHighAlarms, sentAtMs } from './frame/apply.ts';
import { type Keepsake, keepsakeOf, keepsakeText } from './frame/keepsake.ts';
import { type Route, routeOf } from './frame/route.ts';
import { NIGHT_KEY } from './night/kept-night.ts';
import type { Question } from './place/explained.ts';

type LinkState = 'connecting' | 'live' | 'offline';
/** What the last day came to, as far as a card says it. */
export type DayExposures = TracesAnswer['places'][number]['exposures'];
export type PlaceTraces = {
  readonly phase: 'loading' | 'ready' | 'failed';
  readonly fetchedAtMs: number;
  readonly traces: Readonly<Record<Layer, readonly TracePoint[]>>;
  readonly bands: readonly BandSpan[];
  readonly exposures: DayExposures | null;
};

const UNIT_KEY = 'strikewell.unit';
const CLOCK_KEY = 'strikewell.clock';
const LAST_STATE_KEY = 'strikewell.last-state';
const KEEP_EVERY_MS = 30_000;
const pageZone = Intl.DateTimeFormat().resolvedOptions().timeZone;

const lastSeen = readLastState();

export const known = signal<Known>(lastSeen?.known ?? NOTHING_KNOWN);
export const link = signal<LinkState>('connecting');
export const receivedAtMs = signal<number | null>(lastSeen?.atMs ?? null);
/** whether what is shown was kept from an earlier visit: nothing has been received on this one */
export const isOld = signal(lastSeen !== null);
/** the moment that is pointed at on a chart of the page, shown on all of them; ms since epoch */
export const pointedMs = signal<number | null>(null);
/** the number somebody asks about */
export const question = signal<Question | null>(null);
export const traces = signal<Readonly<Record<string, PlaceTraces>>>({});
export const unit = signal<TemperatureUnit>(localStorage.getItem(UNIT_KEY) === 'F' ? 'F' : 'C');
/** whether times are read in 12 hours or 24 */
export const clockHours = signal<12 | 24>(localStorage.getItem(CLOCK_KEY) === '12' ? 12 : 24);
export const route = signal<Route>(routeOf(location.hash, location.pathname));
export const loudNews = signal('');
export const politeNews = signal('');
/** numbers of the newest messages that were received for who watches and listens */
export const foreignCounts = signal({ watched: 0, captured: 0, unread: 0 });
/** the present by the daemon's clock, renewed every second and every ten seconds */
export const secondMs = signal(Date.now());
export const nowMs = signal(Date.now());

let clockAheadMs = 0;
let keptAtMs = 0;

export const timeZone = computed(() => known.value.house?.timeZone ?? pageZone);
/** The places as they may be shown: while the daemon is away, what is minutes old is shown as old. */
export const places = computed(() =>
  link.value === 'live'
    ? known.value.places
    : known.value.places.map((place) => agedPlace(place, nowMs.value)),
);
/** The alarms: a reading that changes none of them draws nothing of theirs again. */
export const alarms = computed(() => known.value.alarms);
export const reader = computed<Reader>(() => ({
  unit: unit.value,
  timeZone: timeZone.value,
  nowMs: nowMs.value,
  ...(clockHours.value === 12 ? { hours12: true as const } : {}),
}));
readIn(clockHours.value);

/** Moves the page's clock on; the daemon's clock leads, since a phone's may be wrong. */
export function tick(): void {
  secondMs.value = Date.now() + clockAheadMs;
  if (Math.abs(secondMs.value - nowMs.value) >= 10_000) nowMs.value = secondMs.value;
}

/** Chooses °C or °F for reading, kept in this browser. */
export function chooseUnit(chosen: TemperatureUnit): void {
  unit.value = chosen;
  localStorage.setItem(UNIT_KEY, chosen);
}

/** Chooses 12 or 24 hours for reading, kept in this browser. */
export function chooseClock(hours: 12 | 24): void {
  readIn(hours);
  clockHours.value = hours;
  localStorage.setItem(CLOCK_KEY, String(hours));
}

/** Takes in one message of the live feed. */
export function receive(message: LiveMessage): void {
  const before = known.value;
  const after = applyLive(before, message);
  const atMs = sentAtMs(message);
  if (atMs !== null) clockAheadMs = atMs - Date.now();
  receivedAtMs.value = Date.now() + clockAheadMs;
  known.value = after;
  isOld.value = false;
  if (message.type === 'heard') foreignCounts.value = message;
  tick();
  if (secondMs.value - keptAtMs >= KEEP_EVERY_MS) keepLastState();
  const news = newHighAlarms(before, after);
  if (news.length > 0)
    loudNews.value = news.map((alarm) => alarmWords(alarm, reader.value).headline).join(' ');
}

/** Keeps what is shown for a visit at which the daemon is away. */
export function keepLastState(): void {
  const text = isOld.value ? null : keepsakeText(known.value, receivedAtMs.value ?? secondMs.value);
  if (text === null) return;
  keptAtMs = secondMs.value;
  try {
    localStorage.setItem(LAST_STATE_KEY, text);
  } catch {
    // a full or forbidden store costs the picture for the next visit, not this one
  }
}

/** Forgets the installation: nothing of it is left in a browser whose user signed out. */
export function forgetHouse(): void {
  known.value = NOTHING_KNOWN;
  traces.value = {};
  receivedAtMs.value = null;
  isOld.value = false;
  localStorage.removeItem(LAST_STATE_KEY);
  localStorage.removeItem(NIGHT_KEY);
}

function readLastState(): Keepsake | null {
  return keepsakeOf(localStorage.getItem(LAST_STATE_KEY));
}

const SAID_FOR_MS = 8000;
let unsaying: ReturnType<typeof setTimeout> | undefined;

/** Shows the result of an order for some seconds, and announces it to screen readers. */
export function say(text: string): void {
  clearTimeout(unsaying);
  politeNews.value = text;
  unsaying = setTimeout(() => {
    politeNews.value = '';
  }, SAID_FOR_MS);
}
