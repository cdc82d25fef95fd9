const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const QUARTER_MS = 15 * 60_000;

type Moment = { readonly atMs: number; readonly timeZone: string };

const formatters = new Map<string, Intl.DateTimeFormat>();

function formatter(timeZone: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${timeZone} ${JSON.stringify(options)}`;
  const kept = formatters.get(key);
  if (kept) return kept;
  const made = new Intl.DateTimeFormat('en-GB', { timeZone, hourCycle: 'h23', ...options });
  formatters.set(key, made);
  return made;
}

function part(moment: Moment, options: Intl.DateTimeFormatOptions): string {
  return formatter(moment.timeZone, options).format(moment.atMs);
}

/** In how many hours times are read on this page. */
let readHours: 12 | 24 = 24;

/** Chooses whether times are read in 12 hours or 24, on the whole page. */
export function readIn(hours: 12 | 24): void {
  readHours = hours;
}

const CLOCK = { hour: '2-digit', minute: '2-digit' } as const;
const CLOCK_12 = { hour: 'numeric', minute: '2-digit', hourCycle: 'h12' } as const;

/** Wall-clock time in the installation's time zone, such as `14:06`, or `2:06 pm` where that is chosen. */
export function clockTime(moment: Moment): string {
  return readHours === 24 ? part(moment, CLOCK) : part(moment, CLOCK_12);
}

/** Wall-clock time to the second, such as `14:06:09`. */
export function clockSeconds(moment: Moment): string {
  return part(moment, { ...(readHours === 24 ? CLOCK : CLOCK_12), second: '2-digit' });
}

/** Weekday in the installation's time zone, such as `Thu`. */
export function weekday(moment: Moment): string {
  return part(moment, { weekday: 'short' });
}

/** Calendar day in the installation's time zone, such as `20 Nov`. */
export function calendarDay(moment: Moment): string {
  return part(moment, { day: 'numeric', month: 'short' });
}

/** The calendar day of a moment in the time zone of the installation, to distinguish days: `05/03/2026`. */
export function dayKey(moment: Moment): string {
  return part(moment, { year: 'numeric', month: '2-digit', day: '2-digit' });
}

/**
 * A moment as a person says it: the clock alone today, with the weekday within six days, with the date before that.
 * @param moment.nowMs the present, ms since epoch
 */
export function momentWords(moment: Moment & { nowMs: number }): string {
  const { atMs, nowMs, timeZone } = moment;
  const clock = clockTime(moment);
  if (dayKey(moment) === dayKey({ atMs: nowMs, timeZone })) return clock;
  if (Math.abs(nowMs - atMs) < 6 * DAY_MS) return `${weekday(moment)} ${clock}`;
  const sameYear = part(moment, { year: 'numeric' }) === part({ atMs: nowMs, timeZone }, { year: 'numeric' });
  const day = sameYear ? calendarDay(moment) : `${calendarDay(moment)} ${part(moment, { year: 'numeric' })}`;
  return `${day}, ${clock}`;
}

export type Tick = { readonly atMs: number; readonly label: string; readonly midnight: boolean };

/**
 * Moments at which the wall clock of the installation shows a whole multiple of `everyHours`.
 * @param span.everyHours divisor of 24, or a multiple of 24 for every n-th midnight
 * @returns ticks in order; midnight carries the day, since there the date changes
 */
export function clockTicks(span: {
  fromMs: number;
  toMs: number;
  timeZone: string;
  everyHours: number;
}): Tick[] {
  const { timeZone, everyHours } = span;
  const ticks: Tick[] = [];
  const skipMs = Math.max(QUARTER_MS, everyHours * HOUR_MS - 6 * QUARTER_MS);
  let atMs = Math.ceil(span.fromMs / QUARTER_MS) * QUARTER_MS;
  while (atMs <= span.toMs) {
    const clock = part({ atMs, timeZone }, CLOCK);
    const hour = Number(clock.slice(0, 2));
    if (clock.endsWith(':00') && hour % Math.min(24, everyHours) === 0) {
      ticks.push({ atMs, label: hourLabel(clock), midnight: hour === 0 });
      atMs += skipMs;
    } else atMs += QUARTER_MS;
  }
  return ticks;
}

/** `14` of 14:00, or `2 pm`. */
function hourLabel(clock: string): string {
  if (readHours === 24) return clock.slice(0, 2);
  const hour = Number(clock.slice(0, 2));
  return `${hour % 12 === 0 ? 12 : hour % 12} ${hour < 12 ? 'am' : 'pm'}`;
}

/** How many hours between labelled ticks, for a span and a width in px, so that labels keep about 64 px apart. */
export function tickHours(view: { spanMs: number; widthPx: number }): number {
  const wanted = (view.spanMs / HOUR_MS) * (64 / Math.max(64, view.widthPx));
  return [1, 3, 6, 12, 24, 48, 72, 96, 168, 336, 720, 1440, 2880].find((hours) => hours >= wanted) ?? 8760;
}

const STEPS_MS = [1, 5, 15, 30, 60, 300, 600, 900, 1_800].map((seconds) => seconds * 1_000);
/** A view shorter than this has ticks between the hours, ms. */
const SHORT_MS = 3 * HOUR_MS;

type Axis = { readonly timeZone: string; readonly everyHours: number; readonly widthPx: number };

/** Ticks of a view of any length: whole hours, or in a short one minutes and seconds. */
export function axisTicks(view: { readonly fromMs: number; readonly toMs: number }, axis: Axis): Tick[] {
  const { timeZone, everyHours, widthPx } = axis;
  const lengthMs = view.toMs - view.fromMs;
  if (lengthMs >= SHORT_MS) return clockTicks({ ...view, timeZone, everyHours });
  const wantedMs = lengthMs * (72 / Math.max(72, widthPx));
  const stepMs = STEPS_MS.find((ms) => ms >= wantedMs) ?? HOUR_MS;
  const ticks: Tick[] = [];
  // zones lie whole quarters of an hour apart, which all steps divide, or are divided by
  for (let atMs = Math.ceil(view.fromMs / stepMs) * stepMs; atMs <= view.toMs; atMs += stepMs) {
    const moment = { atMs, timeZone };
    ticks.push({ atMs, label: stepMs < 60_000 ? clockSeconds(moment) : clockTime(moment), midnight: false });
  }
  return ticks;
}

/** Wall-clock time of the installation as an input takes it: `2026-03-05T14:06`. */
export function wallTime(moment: Moment): string {
  const [day, month, year] = dayKey(moment).split('/');
  return `${year}-${month}-${day}T${part(moment, CLOCK)}`;
}

/**
 * The moment at which the clock of the installation shows a wall-clock time.
 * @param at.wall such as `2026-03-05T14:06`
 * @returns ms since epoch; the earlier of two moments where the clock shows it twice, as much later as the
 * clock jumps where it never does; `null` when it is no time
 */
export function instantOfWall(at: { wall: string; timeZone: string }): number | null {
  const { wall, timeZone } = at;
  const asUtcMs = Date.parse(`${wall}Z`);
  if (Number.isNaN(asUtcMs)) return null;
  const aheadMs = (atMs: number) => Date.parse(`${wallTime({ atMs, timeZone })}Z`) - atMs;
  // the offsets a day before and after: between them lies any change of the clock
  const offsets = [aheadMs(asUtcMs - DAY_MS), aheadMs(asUtcMs + DAY_MS)];
  const moments = offsets.map((offsetMs) => asUtcMs - offsetMs).sort((a, b) => a - b);
  const exact = moments.find((atMs) => wallTime({ atMs, timeZone }) === wall.slice(0, 16));
  return exact ?? moments.at(-1) ?? null;
}

const ISO_UTC = /\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(?:\.\d+)?Z/g;

/** A text with each instant in it, such as `2026-03-05T14:06:09.000Z`, as the clock of the installation shows it. */
export function withLocalTimes(
  text: string,
  now: { readonly nowMs: number; readonly timeZone: string },
): string {
  const { timeZone } = now;
  return text.replace(ISO_UTC, (instant) => {
    const at = { atMs: Date.parse(instant), timeZone };
    const isToday = dayKey(at) === dayKey({ atMs: now.nowMs, timeZone });
    return isToday
      ? clockSeconds(at)
      : `${calendarDay(at)} ${part(at, { year: 'numeric' })}, ${clockSeconds(at)}`;
  });
}
