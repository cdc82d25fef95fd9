import type { Alarm, AlarmFacts, AlarmState } from '../model/alarm.ts';
import { ruleSheet } from '../model/alarm-rules.ts';
import { hasReturned, pastLimitWords } from './past-limit.ts';
import { clock, difference, duration, type Reader, slopeWords, temperature } from './plain.ts';

export { clock, duration, type Reader } from './plain.ts';
export type AlarmWords = { readonly headline: string; readonly detail: string; readonly action: string };

/** The states as people read them. */
export const STATE_WORDS: Readonly<Record<AlarmState, string>> = {
  normal: 'normal',
  unacknowledged: 'unacknowledged',
  acknowledged: 'acknowledged',
  'returned-unacknowledged': 'returned to normal, unacknowledged',
  'latched-unacknowledged': 'returned to normal, latched, unacknowledged',
  'latched-acknowledged': 'returned to normal, latched',
};

/**
 * What an alarm says, the same on the page, in a message and on a topic:
 * what, where, how far, since when, which way, usual cause, what to do first.
 */
export function alarmWords(alarm: Alarm, reader: Reader): AlarmWords {
  const words = factWords(alarm, reader);
  if (!alarm.comesAndGoes) return words;
  const { sinceMs, times } = alarm.comesAndGoes;
  const { name } = ruleSheet(alarm.rule);
  return {
    headline: `${alarm.placeName}: ${name}, coming and going: ${times} times since ${clock(sinceMs, reader)}.`,
    detail: [words.headline, words.detail].filter(Boolean).join(' '),
    action: words.action || ruleSheet(alarm.rule).action,
  };
}

function factWords(alarm: Alarm, reader: Reader): AlarmWords {
  const { facts } = alarm;
  if (facts?.kind === 'air-over-ceiling') return ceilingWords(alarm, facts, reader);
  if (facts?.kind === 'no-data') return silenceWords(alarm, facts, reader);
  if (facts?.kind === 'past-limit') return pastLimitWords(alarm, facts, reader);
  if (facts?.kind === 'was-blind') return blindWords(alarm, facts, reader);
  if (facts?.kind === 'probe-suspect') return suspectWords(alarm, facts, reader);
  if (facts?.kind === 'installation') return installationWords(alarm, facts, reader);
  if (facts?.kind === 'way-failing') return failingWords(alarm, facts, reader);
  if (facts?.kind === 'test-unconfirmed') return unconfirmedWords(alarm, facts, reader);
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

type Told<K extends AlarmFacts['kind']> = Extract<AlarmFacts, { kind: K }>;

function blindWords(alarm: Alarm, { fromMs, toMs }: Told<'was-blind'>, reader: Reader): AlarmWords {
  const { cause, consequence, action } = ruleSheet(alarm.rule);
  const span = `from ${clock(fromMs, reader)} to ${clock(toMs, reader)}, ${duration(toMs - fromMs)}`;
  const what = alarm.rule === 'power-back' ? 'readings are back after a silence' : 'nobody watched';
  return { headline: `${alarm.placeName}: ${what} ${span}.`, detail: `${cause} ${consequence}`, action };
}

function suspectWords(alarm: Alarm, { findings }: Told<'probe-suspect'>, reader: Reader): AlarmWords {
  const { action } = ruleSheet(alarm.rule);
  const said = findings.map(
    ({ probe, finding, sinceMs }) => `${probe}: ${finding} since ${clock(sinceMs, reader)}`,
  );
  if (hasReturned(alarm))
    return { headline: `${alarm.placeName}: no probe is suspect any more.`, detail: '', action: '' };
  const which = findings.length === 1 ? 'a probe is suspect' : `${findings.length} probes are suspect`;
  return { headline: `${alarm.placeName}: ${which}.`, detail: `${said.join('; ')}.`, action };
}

function failingWords(alarm: Alarm, { ways }: Told<'way-failing'>, reader: Reader): AlarmWords {
  const { consequence, action } = ruleSheet(alarm.rule);
  const names = ways.map(({ way }) => way).join(', ');
  if (hasReturned(alarm))
    return { headline: `${alarm.placeName}: messages by ${names} are taken again.`, detail: '', action: '' };
  const said = ways.map(({ way, error, sinceMs }) => `${way} since ${clock(sinceMs, reader)}: ${error}`);
  return {
    headline: `${alarm.placeName}: messages by ${names} are not taken.`,
    detail: `${said.join('; ')}. ${consequence}`,
    action,
  };
}

function unconfirmedWords(alarm: Alarm, { tests }: Told<'test-unconfirmed'>, reader: Reader): AlarmWords {
  const { cause, consequence, action } = ruleSheet(alarm.rule);
  if (hasReturned(alarm))
    return { headline: `${alarm.placeName}: the weekly test is confirmed.`, detail: '', action: '' };
  const names = tests.map(({ who }) => who).join(', ');
  const said = tests.map(({ who, putMs, error }) => {
    const what = error === null ? 'taken, not confirmed' : `not taken: ${error}`;
    return `${who}, sent ${clock(putMs, reader)}: ${what}`;
  });
  return {
    headline: `${alarm.placeName}: the weekly test was not confirmed by ${names}.`,
    detail: `${said.join('; ')}. ${cause} ${consequence}`,
    action,
  };
}

/** What an alarm of the installation says once it has cleared. */
const CLEARED: Partial<Record<Alarm['rule'], string>> = {
  'record-not-writable': 'the record can be written again',
  'clock-jumped': 'the clock is steady again',
  'message-set-aside': 'no more messages had to be set aside',
  'restore-incomplete': 'the restore is complete',
  'monitoring-fault': 'everything is being monitored again',
};

function installationWords(alarm: Alarm, { items }: Told<'installation'>, reader: Reader): AlarmWords {
  const { name, cause, consequence, action } = ruleSheet(alarm.rule);
  if (hasReturned(alarm))
    return { headline: `${alarm.placeName}: ${CLEARED[alarm.rule] ?? name}.`, detail: '', action: '' };
  const said = items.map(({ what, sinceMs, detail }) => {
    const since = `${what} since ${clock(sinceMs, reader)}`;
    return detail === null ? since : `${since}: ${detail}`;
  });
  return {
    headline: `${alarm.placeName}: ${name}.`,
    detail: `${said.join('; ')}. ${cause} ${consequence}`,
    action,
  };
}
