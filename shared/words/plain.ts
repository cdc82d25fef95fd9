/** How a person reads: temperature unit, IANA time zone, and the time it is (ms since epoch). */
export type Reader = {
  readonly unit: 'C' | 'F';
  readonly timeZone: string;
  readonly nowMs: number;
  /** times in 12 hours, "2:05 pm"; absent: in 24 */
  readonly hours12?: true;
};

/** How a temperature moved at its newest reading: K per minute, and when that was, ms since epoch. */
type Slope = { readonly slopePerMin: number | null; readonly atMs: number };

/** A slope is that of the last minutes: once its newest reading is older than this, nobody knows which way it goes. */
const SLOPE_HOLDS_MS = 5 * 60_000;

/** Which way a temperature goes, in words; nothing where it hardly moves, or where its last reading is minutes old. */
export function trendWords({ slopePerMin, atMs }: Slope, reader: Reader): string {
  if (slopePerMin === null || Math.abs(slopePerMin) < 0.05) return '';
  if (reader.nowMs - atMs > SLOPE_HOLDS_MS) return '';
  const rate = difference(Math.abs(slopePerMin), reader);
  return slopePerMin > 0
    ? `, rising ${rate} °${reader.unit} a minute`
    : `, falling ${rate} °${reader.unit} a minute`;
}

/** A temperature as the reader reads it. @param valueC °C */
export function temperature(valueC: number, { unit }: Reader): string {
  return unit === 'C' ? `${valueC.toFixed(1)} °C` : `${((valueC * 9) / 5 + 32).toFixed(1)} °F`;
}

/** A difference of temperatures without its unit, as the reader reads it. @param valueK K */
export function difference(valueK: number, { unit }: Reader): string {
  return (unit === 'C' ? valueK : (valueK * 9) / 5).toFixed(1);
}

/** A span in plain words: "40 s", "4 min", "9 h 40 min", "2 d 6 h". @param ms at least 0 */
export function duration(ms: number): string {
  const minutes = Math.floor(ms / 60_000);
  if (minutes < 1) return `${Math.max(0, Math.floor(ms / 1000))} s`;
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  return hours % 24 === 0 ? `${Math.floor(hours / 24)} d` : `${Math.floor(hours / 24)} d ${hours % 24} h`;
}

/** Making one takes longer than all it writes: they are kept, a few for each zone. */
const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = JSON.stringify(options);
  const known = formats.get(key) ?? new Intl.DateTimeFormat('en-GB', options);
  formats.set(key, known);
  return known;
}

/** Wall-clock time, with the day when it is not today's, and the year when it is not this one. */
export function clock(
  atMs: number,
  { timeZone, nowMs, hours12 }: Pick<Reader, 'timeZone' | 'nowMs' | 'hours12'>,
): string {
  const written = (ms: number, parts: Intl.DateTimeFormatOptions) =>
    formatOf({ timeZone, ...parts }).format(ms);
  const hours = hours12
    ? ({ hour: 'numeric', hourCycle: 'h12' } as const)
    : ({ hour: '2-digit', hour12: false } as const);
  const time = written(atMs, { ...hours, minute: '2-digit' });
  const day = (ms: number) => written(ms, { weekday: 'short', day: 'numeric', month: 'short' });
  const year = (ms: number) => written(ms, { year: 'numeric' });
  if (year(atMs) !== year(nowMs)) return `${time} on ${day(atMs)} ${year(atMs)}`;
  return day(atMs) === day(nowMs) ? time : `${time} on ${day(atMs)}`;
}

/** With a capital first, as a sentence begins; a name in code letters stays as it is. */
export function asSentence(words: string): string {
  return words.slice(0, 1).toUpperCase() + words.slice(1);
}
