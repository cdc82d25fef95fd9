import { clock, difference, duration, type Reader, temperature, trendWords } from '../words/plain.ts';
import type { PastLimitFacts } from './facts.ts';
import {
  type AlarmWords,
  type LimitRuleDefinition,
  type LimitUnit,
  type MessageText,
  type Subject,
  wordsOf,
} from './rule.ts';

/** A rule of a limit without the words that all of them make alike. */
type Given<Id extends string> = Omit<LimitRuleDefinition<Id>, 'words' | 'unjudged'> & {
  /** why nothing is asked at a moment, where it is not for want of light or of a limit */
  readonly unjudged?: LimitRuleDefinition['unjudged'];
  /** what is held against the limit, in words: "air", "root zone" */
  readonly measured: string;
  /** an active alarm, behind the name of its place and without the full stop */
  readonly active: (said: MessageText) => string;
  /** the same in a message to somebody who knows of the alarm that came before it: what is worse now, and what that costs */
  readonly nowWorse?: (said: MessageText) => string;
  /** the same once it is back */
  readonly cleared: string;
  /** the same where it is within only because its limit was moved, for a rule that does not measure against it directly */
  readonly clearedByLimit?: string;
  /** what to do once it is back */
  readonly afterwards?: string;
};

/** Makes a rule of a limit, with its words: what, how far, since when, which way, usual cause, what to do first. */
export function limitRule<const Id extends string>(given: Given<Id>): LimitRuleDefinition<Id> {
  const {
    measured: _measured,
    active: _active,
    nowWorse,
    cleared: _cleared,
    clearedByLimit: _byLimit,
    afterwards: _after,
    ...definition
  } = given;
  const unjudged = given.unjudged ?? (given.inLight ? inTheDark : noLimit);
  return {
    ...definition,
    unjudged,
    words: wordsOf('past-limit', (subject) => pastLimitWords(given, subject)),
    ...(nowWorse === undefined
      ? {}
      : { worseWords: wordsOf('past-limit', (subject) => worseWords({ ...given, nowWorse }, subject)) }),
  };
}

type Worsening = Given<string> & Pick<Required<Given<string>>, 'nowWorse'>;

/** What became worse since the last message, in the first sentence; null where it is so no longer. */
function worseWords(rule: Worsening, subject: Subject<PastLimitFacts>): AlarmWords | null {
  const { placeName, facts, reader } = subject;
  if (subject.isOver || subject.notJudged || !isBeyond(rule, facts)) return null;
  return {
    headline: `${placeName}: ${rule.nowWorse(saidOf(rule, subject))}.`,
    detail: `${limitWords(rule, facts, reader)}. ${causeWords(rule, subject)}`,
    action: rule.action,
  };
}

function limitWords(
  { unit, sense, limitNote }: Given<string>,
  facts: PastLimitFacts,
  reader: Reader,
): string {
  const since = ` since ${clock(facts.sinceMs, reader)}`;
  const note = limitNote === undefined ? '' : ` (${limitNote(facts)})`;
  return `Limit ${valueWords(unit, facts.limit, reader)}${note}${worstWords({ unit, sense }, facts, reader, since)}`;
}

/** In a message; the page has all of it. */
const MOST_EVIDENCE = 2;

const inTheDark: LimitRuleDefinition['unjudged'] = ({ light, night }) => {
  if (light) return 'not judged without a limit';
  return night ? 'not judged by night' : 'not judged in the dark';
};
const noLimit: LimitRuleDefinition['unjudged'] = () => 'not judged without a limit';

function pastLimitWords(rule: Given<string>, subject: Subject<PastLimitFacts>): AlarmWords {
  const { placeName, facts, reader } = subject;
  const { unit, sense } = rule;
  if (subject.isOver) {
    const endMs = subject.returnedAtMs ?? facts.atMs;
    const span = `from ${clock(facts.sinceMs, reader)} to ${clock(endMs, reader)}`;
    return {
      headline: `${placeName}: ${facts.moved === undefined ? rule.cleared : movedWords(rule, subject)}.`,
      detail: `${sense === 'above' ? 'Above' : 'Below'} its limit of ${valueWords(unit, facts.limit, reader)} ${span}${worstWords(rule, facts, reader)}.`,
      action: rule.afterwards ?? '',
    };
  }
  if (subject.notJudged) return lapsedWords(rule, subject, subject.notJudged);
  const said = saidOf(rule, subject);
  const limits = limitWords(rule, facts, reader);
  if (!isBeyond(rule, facts)) {
    const within =
      facts.moved === undefined
        ? `${rule.measured} ${said.value}, ${backWords(said.far)}${said.trend}`
        : movedWords(rule, subject);
    return {
      headline: `${placeName}: ${within}; the alarm clears once it stays there.`,
      detail: `${limits}.`,
      action: rule.afterwards ?? '',
    };
  }
  return {
    headline: `${placeName}: ${rule.active(said)}.`,
    detail: `${limits}. ${causeWords(rule, subject)} ${rule.consequence}`,
    action: rule.action,
  };
}

/** The likely cause with what was seen for it; what it usually is, where nothing can be told apart. */
function causeWords({ cause: usual }: Given<string>, { cause }: Pick<Subject, 'cause'>): string {
  if (cause === undefined) return usual;
  const seen = cause.evidence.slice(0, MOST_EVIDENCE).join('; ');
  return seen === '' ? cause.sentence : `${cause.sentence} Seen: ${seen}.`;
}

/** Within its limit, though what is measured did not get there by itself. */
function movedWords(
  { unit, measured, clearedByLimit }: Given<string>,
  { facts, reader }: Subject<PastLimitFacts>,
): string {
  if (facts.moved === 'limit' && clearedByLimit !== undefined) return clearedByLimit;
  const value = `${measured} ${valueWords(unit, facts.value, reader)}`;
  const limit = valueWords(unit, facts.limit, reader);
  if (facts.moved === 'correction')
    return `${value} now that its probe is corrected, within its limit of ${limit}`;
  return `${value}, within its limit, which is ${limit} now`;
}

/** Not judged for now: nobody knows that it recovered. */
function lapsedWords(
  rule: Given<string>,
  { placeName, facts, reader }: Subject<PastLimitFacts>,
  { sinceMs, why }: NonNullable<Subject['notJudged']>,
): AlarmWords {
  const { unit, measured, action } = rule;
  const last = `${valueWords(unit, facts.value, reader)} at ${clock(facts.atMs, reader)}`;
  return {
    headline: `${placeName}: ${measured} ${why} since ${clock(sinceMs, reader)}; it had not recovered.`,
    detail: `Last ${last}. Limit ${valueWords(unit, facts.limit, reader)}${worstWords(rule, facts, reader)}.`,
    action,
  };
}

function backWords(far: string): string {
  return /^0[.0]* /.test(far) ? 'just back within its limit' : `back within its limit by ${far}`;
}

const FURTHEST: Readonly<Partial<Record<LimitUnit, string>>> = { 'K/h': 'fastest' };

/** How far it went, and since when; nothing for a time, which says both by itself. */
function worstWords(
  { unit, sense }: Pick<LimitRuleDefinition, 'unit' | 'sense'>,
  { worst }: PastLimitFacts,
  reader: Reader,
  since = '',
): string {
  if (unit === 'min' || unit === 'h' || unit === 'K.h') return '';
  const furthest = FURTHEST[unit] ?? (sense === 'above' ? 'highest' : 'lowest');
  return `; ${furthest} ${valueWords(unit, worst, reader)}${since}`;
}

function isBeyond({ sense }: Pick<LimitRuleDefinition, 'sense'>, { value, limit }: PastLimitFacts): boolean {
  return sense === 'above' ? value > limit : value < limit;
}

/** A reading is given with its time once it is older than the longest usual gap. */
const WITHOUT_TIME_MS = 15 * 60_000;

function saidOf({ unit }: { unit: LimitUnit }, { facts, reader }: Subject<PastLimitFacts>): MessageText {
  const isTemperature = unit === 'Cel' || unit === 'K';
  const isOld = reader.nowMs - facts.atMs > WITHOUT_TIME_MS;
  const last = isOld ? ` at the last reading (${clock(facts.atMs, reader)})` : '';
  return {
    value: `${valueWords(unit, facts.value, reader)}${last}`,
    limit: valueWords(unit, facts.limit, reader),
    far: valueWords(unit === 'Cel' ? 'K' : unit, Math.abs(facts.value - facts.limit), reader),
    lasts: ` for ${duration(reader.nowMs - facts.sinceMs)}`,
    trend: isTemperature ? trendWords(facts, reader) : '',
    facts,
  };
}

/** A value with the unit of its rule, as the reader reads it. */
export function valueWords(unit: LimitUnit, value: number, reader: Reader): string {
  switch (unit) {
    case 'Cel':
      return temperature(value, reader);
    case 'K':
      return `${difference(value, reader)} °${reader.unit}`;
    case 'K/h':
      return `${difference(value, reader)} °${reader.unit} an hour`;
    case 'K.h':
      return `${difference(value, reader)} °${reader.unit}·h`;
    case 'kPa':
      return `${value.toFixed(2)} kPa`;
    case 'min':
      return duration(value * 60_000);
    case 'h':
      return duration(value * 3_600_000);
    case 'umol/m2/s':
      return `${value.toFixed(0)} µmol m⁻² s⁻¹`;
  }
}
