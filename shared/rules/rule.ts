import type { HarmKind } from '../harm/scale.ts';
import type { Targets } from '../model/targets.ts';
import type { ProbeQuantityName } from '../quantities.ts';
import type { Reader } from '../words/plain.ts';
import type { AlarmFacts, AlarmWords, PastLimitFacts, UnmistedFacts } from './facts.ts';

export type { AlarmWords } from './facts.ts';

export const ALARM_PRIORITIES = ['high', 'medium', 'low'] as const;
export type AlarmPriority = (typeof ALARM_PRIORITIES)[number];

/** Alarms of one group at one place have one cause: the first is announced for the others. */
type RuleGroup = 'heat' | 'cold-air' | 'cold-root' | 'dry' | 'silence';

/** What an alarm is about, as far as its words need it. */
export type Subject<F extends AlarmFacts = AlarmFacts> = {
  readonly placeName: string;
  readonly facts: F;
  readonly isOver: boolean;
  readonly raisedAtMs: number | null;
  readonly returnedAtMs: number | null;
  /** while nothing that an active alarm rests on is judged: since when, and why */
  readonly notJudged?: { readonly sinceMs: number; readonly why: string } | undefined;
  /** its likely cause, or that it is not known, ready to read; absent where nothing can be told apart */
  readonly cause?: { readonly sentence: string; readonly evidence: readonly string[] } | undefined;
  readonly reader: Reader;
  /** the name of a rule by its id */
  readonly ruleName: (rule: string) => string;
};

/** What a person must know of an alarm to judge it, as a rationalisation by ISA-18.2 asks. */
export type RuleDefinition<Id extends string = string> = {
  readonly id: Id;
  readonly name: string;
  readonly priority: AlarmPriority;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** minutes in which the action still helps */
  readonly respondWithinMin: number;
  readonly group: RuleGroup | null;
  /** the kind of harm its condition does */
  readonly harm?: HarmKind;
  /** while it is active somebody must act, however little harm was done yet */
  readonly asksAtOnce?: true;
  /** among alarms of its group and priority it says more: who has not answered the first is called again at once */
  readonly saysMore?: true;
  /** always a message of its own, never part of a digest */
  readonly alone?: true;
  /** a clause behind the name of its place: "bench 3: air over ceiling" */
  readonly clause: { readonly is: string; readonly was: string };
  /** its words; null where the facts are not of this rule */
  readonly words: (subject: Subject) => AlarmWords | null;
  /** its words to somebody who knows of an earlier alarm of its group; null where it is not worse now */
  readonly worseWords?: (subject: Subject) => AlarmWords | null;
};

/** What decides which limit holds at a moment: night by the targets, light by the probe, else by the targets. */
export type Moment = {
  readonly targets: Targets;
  readonly night: boolean;
  /** how far bands have moved to those of day, 0…1; absent: all the way of their half */
  readonly dayShare?: number;
  readonly light: boolean;
  /** usual time from mist pulse to mist pulse, ms; null or absent where no pattern is known */
  readonly mistPatternMs?: number | null;
  /** how long the cuttings of the place stand without mist, min; null or absent where nothing is known of it */
  readonly unmisted?: UnmistedFacts | null;
};

export type LimitUnit = 'Cel' | 'K' | 'K/h' | 'K.h' | 'kPa' | 'min' | 'h' | 'umol/m2/s';

/** A value beyond its limit, for the words of an active alarm. */
export type MessageText = {
  /** value and limit with their unit, as the reader reads them */
  readonly value: string;
  readonly limit: string;
  /** how far beyond, without a unit */
  readonly far: string;
  /** ` for 4 min` */
  readonly lasts: string;
  /** ` and rising 0.3 a minute`, or nothing */
  readonly trend: string;
  readonly facts: PastLimitFacts;
};

/** A rule that holds one number against a limit. */
export type LimitRuleDefinition<Id extends string = string> = RuleDefinition<Id> & {
  readonly unit: LimitUnit;
  readonly sense: 'above' | 'below';
  readonly on: boolean;
  readonly onDelayMs: number;
  readonly offDelayMs: number;
  /** at a mist bench, where it is another: a pulse dampens the air for minutes and ends nothing */
  readonly offDelayUnderMistMs?: number;
  /** in the unit of the rule */
  readonly deadband: number;
  readonly latching: boolean;
  /** each further excess of this much halves what is left of the on-delay; null: it does not shrink */
  readonly halving: number | null;
  /** readings that bear on it: of one probe by itself, or of the place as a whole */
  readonly watches: { readonly each: 'probe' | 'place'; readonly quantities: readonly ProbeQuantityName[] };
  /** the limit at a moment, in the unit of the rule; null where nothing is asked then */
  readonly limitAt: (moment: Moment) => number | null;
  /** the limit of an active alarm, where it is another; null: it lapses */
  readonly holdAt?: (moment: Moment) => number | null;
  /** how its limit comes about, behind it in brackets: "three of its usual intervals" */
  readonly limitNote?: (facts: PastLimitFacts) => string;
  /** why nothing is asked at a moment: "not judged by night" */
  readonly unjudged: (moment: Moment) => string;
  /** judged from the first reading of a place on; others wait until it has been on record for `SETTLED_MS` */
  readonly fromFirst?: true;
  /** it asks for light: whether leaves lose water */
  readonly inLight?: true;
  /** only a target sheet sets its limit; without one there is none */
  readonly byTargets?: true;
  /** it is about a heating mat: where there is none, it is off unless the place sets it */
  readonly needsMat?: true;
  /** what a new place is, or what roots there, decides whether it is right to call: until then it calls nobody */
  readonly waitsForAnswers?: true;
  /** where dry air is meant, by a vent that is open, it is held off */
  readonly heldOffByVent?: true;
  /** limits that can be tried, and where to begin where the place has none */
  readonly range: {
    readonly min: number;
    readonly max: number;
    readonly step: number;
    readonly begin: number;
  };
};

export const MINUTE_MS = 60_000;
export const HOUR_MS = 3_600_000;

/** A place must have been on record for so long before rules other than those of its ceilings raise an alarm. PROPOSAL. */
export const SETTLED_MS = 10 * MINUTE_MS;

/** Delays and switches that most rules of limits start from. */
export const LIMIT_DEFAULTS = {
  on: true,
  latching: false,
  halving: null,
  offDelayMs: MINUTE_MS,
} as const;

/** The words of a rule whose facts are of one kind. */
export function wordsOf<K extends AlarmFacts['kind']>(
  kind: K,
  words: (subject: Subject<Extract<AlarmFacts, { kind: K }>>) => AlarmWords | null,
): (subject: Subject) => AlarmWords | null {
  return (subject) => (isOf(subject, kind) ? words(subject) : null);
}

function isOf<K extends AlarmFacts['kind']>(
  subject: Subject,
  kind: K,
): subject is Subject<Extract<AlarmFacts, { kind: K }>> {
  return subject.facts.kind === kind;
}

/** Words that are all in the headline. */
export function onlyHeadline(headline: string): AlarmWords {
  return { headline, detail: '', action: '' };
}
