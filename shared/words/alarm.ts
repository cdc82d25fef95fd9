import type { Alarm, AlarmFacts, AlarmState } from '../model/alarm.ts';

/** How a person reads: temperature unit, IANA time zone, and the time it is (ms since epoch). */
export type Reader = { readonly unit: 'C' | 'F'; readonly timeZone: string; readonly nowMs: number };

export type AlarmWords = { readonly headline: string; readonly detail: string; readonly action: string };

/** The states as people read them. */
export const STATE_WORDS: Readonly<Record<AlarmState, string>> = {
  normal: 'normal',
  unacknowledged: 'unacknowledged',
  acknowledged: 'acknowledged',
  'returned-unacknowledged': 'returned to normal, unacknowledged',
};

/**
 * What an alarm says, the same on the page, in a message and on a topic:
 * what, where, how far, since when, which way, usual cause, what to do first.
 */
export function alarmWords(alarm: Alarm, reader: Reader): AlarmWords {
  const { facts } = alarm;
  if (facts?.kind === 'air-over-ceiling') return ceilingWords(alarm, facts, reader);
  if (facts?.kind === 'no-data') return silenceWords(alarm, facts, reader);
  return { headline: `${alarm.placeName}: ${STATE_WORDS[alarm.state]}`, detail: '', action: '' };
}

/** The words in one line, as a message carries them. */
export function alarmSentence(alarm: Alarm, reader: Reader): string {
  const { headline, detail, action } = alarmWords(alarm, reader);
  return [headline, detail, action].filter(Boolean).join(' ');
}

type CeilingFacts = Extract<AlarmFacts, { kind: 'air-over-ceiling' }>;

function ceilingWords(alarm: Alarm, facts: CeilingFacts, reader: Reader): AlarmWords {
  if (hasReturned(alarm)) {
    return {
      headline: `${alarm.placeName}: air is back below its ceiling of ${temperature(facts.ceilingC, reader)}.`,
      detail: `Highest ${temperature(facts.peakC, reader)}; it was over from ${clock(facts.sinceMs, reader)} to ${clock(alarm.returnedAtMs ?? facts.atMs, reader)}.`,
      action: 'Look at the leaves: limp ones need mist and shade.',
    };
  }
  const trend = slopeWords(facts.slopeKPerMin, reader);
  const limits = `Ceiling ${temperature(facts.ceilingC, reader)}, highest ${temperature(facts.peakC, reader)}`;
  if (facts.valueC <= facts.ceilingC) return clearingWords(alarm, facts, { reader, trend, limits });
  return {
    headline: `${alarm.placeName}: air ${temperature(facts.valueC, reader)}, ${overWords(alarm, facts, reader)}${trend}.`,
    detail: `${limits}, over since ${clock(facts.sinceMs, reader)}. Usually the sun has come on it.`,
    action: 'Shade it first, then open the cover.',
  };
}

/** An alarm stands on through its deadband and off-delay, when the air is below its ceiling already. */
function clearingWords(
  alarm: Alarm,
  facts: CeilingFacts,
  said: { reader: Reader; trend: string; limits: string },
): AlarmWords {
  const { reader, trend, limits } = said;
  const below = difference(facts.ceilingC - facts.valueC, reader);
  return {
    headline: `${alarm.placeName}: air ${temperature(facts.valueC, reader)}, ${below} below its ceiling again${trend}; the alarm stands until it has stayed there.`,
    detail: `${limits}, first over at ${clock(facts.sinceMs, reader)}.`,
    action: 'See that the sun is off it, and look at the leaves: limp ones need mist and shade.',
  };
}

function overWords(alarm: Alarm, facts: CeilingFacts, reader: Reader): string {
  const far = difference(facts.valueC - facts.ceilingC, reader);
  // a slow probe's alarm is raised by time, after the sample it rests on
  const untilMs = Math.max(facts.atMs, alarm.raisedAtMs ?? facts.atMs);
  return `${far} above its ceiling for ${duration(untilMs - facts.sinceMs)}`;
}

function silenceWords(
  alarm: Alarm,
  facts: Extract<AlarmFacts, { kind: 'no-data' }>,
  reader: Reader,
): AlarmWords {
  const last = Math.max(...facts.silent.map((probe) => probe.lastMs));
  if (hasReturned(alarm)) {
    const since = clock(alarm.returnedAtMs ?? reader.nowMs, reader);
    return {
      headline: `${alarm.placeName}: readings are coming again since ${since}.`,
      detail: '',
      action: '',
    };
  }
  const who = facts.wholePlace
    ? 'no data'
    : `no data from ${facts.silent.map((probe) => probe.probe).join(', ')}`;
  return {
    headline: `${alarm.placeName}: ${who} since ${clock(last, reader)}.`,
    detail: `Silent for ${duration(reader.nowMs - last)}; nobody is watching this climate now. Usually power, battery or network.`,
    action: 'Look at the cuttings, then at the sensor, its power and the network.',
  };
}

function hasReturned(alarm: Alarm): boolean {
  return alarm.state === 'normal' || alarm.state === 'returned-unacknowledged';
}

function slopeWords(slopeKPerMin: number | null, reader: Reader): string {
  if (slopeKPerMin === null || Math.abs(slopeKPerMin) < 0.05) return '';
  const rate = difference(Math.abs(slopeKPerMin), reader);
  return slopeKPerMin > 0 ? ` and rising ${rate} a minute` : ` and falling ${rate} a minute`;
}

function temperature(valueC: number, { unit }: Reader): string {
  return unit === 'C' ? `${valueC.toFixed(1)} °C` : `${((valueC * 9) / 5 + 32).toFixed(1)} °F`;
}

function difference(valueK: number, { unit }: Reader): string {
  return (unit === 'C' ? valueK : (valueK * 9) / 5).toFixed(1);
}

/** A span in plain words: "40 s", "4 min", "9 h 40", "2 d 6 h". @param ms at least 0 */
export function duration(ms: number): string {
  const minutes = Math.floor(ms / 60_000);
  if (minutes < 1) return `${Math.max(0, Math.floor(ms / 1000))} s`;
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48)
    return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${String(minutes % 60).padStart(2, '0')}`;
  return hours % 24 === 0 ? `${Math.floor(hours / 24)} d` : `${Math.floor(hours / 24)} d ${hours % 24} h`;
}

/** Wall-clock time, with the day when it is not today's, and the year when it is not this one. */
export function clock(atMs: number, { timeZone, nowMs }: Pick<Reader, 'timeZone' | 'nowMs'>): string {
  const written = (ms: number, parts: Intl.DateTimeFormatOptions) =>
    new Intl.DateTimeFormat('en-GB', { timeZone, ...parts }).format(ms);
  const time = written(atMs, { hour: '2-digit', minute: '2-digit', hour12: false });
  const day = (ms: number) => written(ms, { weekday: 'short', day: 'numeric', month: 'short' });
  const year = (ms: number) => written(ms, { year: 'numeric' });
  if (year(atMs) !== year(nowMs)) return `${time} on ${day(atMs)} ${year(atMs)}`;
  return day(atMs) === day(nowMs) ? time : `${time} on ${day(atMs)}`;
}
