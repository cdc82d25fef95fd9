import { minutesLeftOf } from './priority.ts';
import { HARM_KINDS, type Harm, type HarmKind, totalHarm } from './scale.ts';

/** How a place does: something harms now; it did and is remembered, or may, or cannot be seen; or neither. */
export const PLACE_STATES = ['act', 'watch', 'ok'] as const;
export type PlaceStateName = (typeof PLACE_STATES)[number];

/**
 * What cannot be judged: heat where the air probe has stopped, or where there never was one; dryness without humidity;
 * the root zone where its probe has stopped; mist.
 */
export const BLIND_TO = ['heat', 'heat-unmeasured', 'dryness', 'root-zone', 'mist'] as const;
export type Blind = (typeof BLIND_TO)[number];

/** Leaves that dry without mist: what that has done since the last pulse, what it adds an hour, and how soon somebody can help. */
export type Drying = {
  /** 1 = wilting is expected */
  readonly done: number;
  readonly ratePerHour: number;
  readonly respondWithinMin: number;
};

/** What the state of a place follows from. */
type PlaceFacts = {
  /** harm of the last 24 h; null where it is not known */
  readonly harm: Harm | null;
  /** what each kind adds an hour at the newest values; 0 where it cannot be seen */
  readonly ratePerHour: Readonly<Partial<Record<HarmKind, number>>>;
  /** in how many minutes an action still helps, by kind */
  readonly respondWithinMin: Readonly<Record<HarmKind, number>>;
  /** while mist does not come and a batch stands there of which that is known; absent or null otherwise */
  readonly drying?: Drying | null;
  /** the conditions of its alarms that hold, acknowledged or not: whether each asks for somebody whatever the minutes left */
  readonly active: readonly { readonly asksAtOnce: boolean }[];
  readonly blindTo: readonly Blind[];
  /** harm of all kinds that is remembered: of the last 24 h, or since a morning sheet showed it */
  readonly remembered: number;
  /** it is remembered that nothing was read for a while */
  readonly wasBlind: boolean;
  /** a value is outside its band now, such as air above its band: no harm of its own */
  readonly outOfBand: boolean;
};

type PlaceState = {
  readonly state: PlaceStateName;
  /** sum over the kinds, last 24 h; null where it is not known */
  readonly harm: number | null;
  /** at the present rate, until a kind reaches 1; null when nothing harms now */
  readonly minutesLeft: number | null;
};

/** Beyond this, with what comes within the time to respond, somebody must act. Proposal. */
const ACT_FROM = 0.25;
/** Less in a day is not worth a word. Proposal. */
export const WATCH_FROM = 0.05;

/**
 * How a place does, from what is measured, what the last 24 h did to it and what of that is remembered; never from who
 * has acknowledged what.
 * Each kind of harm is weighed by itself: a cold night must not make every breath of warm air urgent.
 */
export function placeState(facts: PlaceFacts): PlaceState {
  const { harm, ratePerHour, respondWithinMin, drying = null } = facts;
  const measured = HARM_KINDS.flatMap((kind) => {
    const rate = ratePerHour[kind] ?? 0;
    return rate > 0 ? [{ rate, done: harm?.[kind] ?? 0, respondMin: respondWithinMin[kind] }] : [];
  });
  const harming = drying ? [...measured, harmingOf(drying)] : measured;
  const minutes = harming.map(({ rate, done }) => minutesLeftOf({ harm: done, ratePerHour: rate }) ?? 0);
  return {
    state: stateOf(facts, harming),
    harm: harm && totalHarm(harm) + (drying?.done ?? 0),
    minutesLeft: minutes.length === 0 ? null : Math.min(...minutes),
  };
}

type Harming = { readonly rate: number; readonly done: number; readonly respondMin: number };

function harmingOf({ done, ratePerHour, respondWithinMin }: Drying): Harming {
  return { rate: ratePerHour, done, respondMin: respondWithinMin };
}

function stateOf(facts: PlaceFacts, harming: readonly Harming[]): PlaceStateName {
  const { harm, remembered, active, blindTo, wasBlind, outOfBand } = facts;
  const reaches = harming.some(({ rate, done, respondMin }) => done + (rate * respondMin) / 60 >= ACT_FROM);
  const isBlind = blindTo.includes('heat') || blindTo.includes('mist');
  if (reaches || isBlind || active.some(({ asksAtOnce }) => asksAtOnce)) return 'act';
  const isRemembered = wasBlind || harm === null || remembered >= WATCH_FROM;
  const isActive = outOfBand || harming.length > 0 || active.length > 0;
  return isRemembered || isActive || blindTo.length > 0 ? 'watch' : 'ok';
}

const WEIGHT: Readonly<Record<PlaceStateName, number>> = { act: 0, watch: 1, ok: 2 };

/** What places are put in order by. */
export type Urgency = PlaceState & { readonly unanswered: boolean };

/**
 * Worst first: by state, then by the minutes left, then by harm, then where nobody has answered.
 * @returns below 0 where the first is worse
 */
export function byUrgency(a: Urgency, b: Urgency): number {
  const minutes = ({ minutesLeft }: Urgency) => minutesLeft ?? Number.MAX_VALUE;
  return (
    WEIGHT[a.state] - WEIGHT[b.state] ||
    minutes(a) - minutes(b) ||
    (b.harm ?? 0) - (a.harm ?? 0) ||
    Number(b.unanswered) - Number(a.unanswered)
  );
}
