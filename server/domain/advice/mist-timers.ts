/** The air, the light and the film at a moment of a record; moments follow each other a step apart. */
export type MistMoment = {
  /** how long a whole film lasts, min; null: it never dries */
  readonly filmMin: number | null;
  readonly lit: boolean;
  /** the stronger half of the light of the place */
  readonly strong: boolean;
  /** vapour pressure deficit of the air, kPa */
  readonly vpdKpa: number;
  /** the air is as damp as the targets call saturated */
  readonly saturated: boolean;
  /** how long the cuttings may stand with dry leaves, min; 0 where nothing is known of them */
  readonly mayDryMin: number;
};

type Timer = 'fixed' | 'stepped' | 'advised';
type State = { readonly sinceMin: number; readonly dryMin: number; readonly gradientKpaMin: number };

/** What a timer would have done on a record. */
type TimerOutcome = {
  readonly timer: Timer;
  readonly pulses: number;
  /** water on the leaves, L/m² */
  readonly waterLM2: number;
  /** minutes in light with dry leaves */
  readonly dryMinutes: number;
  /** hours with wet leaves in saturated air */
  readonly saturatedHours: number;
  /** usual minutes from pulse to pulse in light and in the dark, with the shortest and longest eighth left out */
  readonly light: Interval | null;
  readonly dark: Interval | null;
};
type Interval = { readonly middleMin: number; readonly fromMin: number; readonly toMin: number };

/** Of a stepped timer: how much longer its interval is outside the strongest light, and in the dark. Common practice. */
export const STEPPED = { weakLight: 2, dark: 6 } as const;
/** In the dark a dry leaf may wait until so much gradient has gathered, kPa·min. @source [HR44] */
export const DARK_TRIGGER_KPA_MIN = 7.5;
/** No longer than this in light: a film is an estimate, min. Proposal of the project. */
export const LONGEST_LIT_MIN = 60;

/**
 * Lets a timer run on a record of a place: a fixed one, one in steps by light, and the advised one, which mists when the
 * film is gone and the cuttings have stood dry for as long as they may.
 * @param moments of the record, in the order of time; null where nothing was read
 * @param options.stepMin from moment to moment
 * @param options.everyMin the interval of the fixed timer
 * @param options.filmUm water of one pulse on the leaves, µm
 * @example runTimer('fixed', [], { stepMin: 1, everyMin: 10, filmUm: 100 }).pulses // 0
 */
export function runTimer(
  timer: Timer,
  moments: readonly (MistMoment | null)[],
  {
    stepMin,
    everyMin,
    filmUm,
  }: { readonly stepMin: number; readonly everyMin: number; readonly filmUm: number },
): TimerOutcome {
  const between = { light: [] as number[], dark: [] as number[] };
  let [pulses, dryMinutes, saturatedMin, film] = [0, 0, 0, 0];
  let state: State = { sinceMin: Number.POSITIVE_INFINITY, dryMin: 0, gradientKpaMin: 0 };
  for (const moment of moments) {
    if (moment === null) {
      state = { ...state, sinceMin: Number.POSITIVE_INFINITY };
      continue;
    }
    if (isDue(timer, moment, { ...state, everyMin, film })) {
      pulses++;
      if (state.sinceMin < Number.POSITIVE_INFINITY)
        between[moment.lit ? 'light' : 'dark'].push(state.sinceMin);
      film = 1;
      state = { sinceMin: 0, dryMin: 0, gradientKpaMin: 0 };
    }
    if (film <= 0 && moment.lit) dryMinutes += stepMin;
    if (film > 0 && moment.saturated) saturatedMin += stepMin;
    const wasDry = film <= 0;
    film = dried(film, moment.filmMin, stepMin);
    state = {
      sinceMin: state.sinceMin + stepMin,
      dryMin: wasDry ? state.dryMin + stepMin : 0,
      gradientKpaMin: state.gradientKpaMin + Math.max(0, moment.vpdKpa) * stepMin,
    };
  }
  return {
    timer,
    pulses,
    waterLM2: (pulses * filmUm) / 1000,
    dryMinutes,
    saturatedHours: saturatedMin / 60,
    light: intervalOf(between.light),
    dark: intervalOf(between.dark),
  };
}

/** What is left of a film after a step; so little that rounding may have made it is nothing. */
function dried(film: number, filmMin: number | null, stepMin: number): number {
  const left = filmMin === null ? film : film - stepMin / Math.max(filmMin, 0.1);
  return left < 1e-9 ? 0 : left;
}

type Now = State & { readonly everyMin: number; readonly film: number };

function isDue(timer: Timer, moment: MistMoment, now: Now): boolean {
  const { sinceMin, everyMin, film, dryMin, gradientKpaMin } = now;
  switch (timer) {
    case 'fixed':
      return sinceMin >= everyMin;
    case 'stepped': {
      const times = moment.lit ? (moment.strong ? 1 : STEPPED.weakLight) : STEPPED.dark;
      return sinceMin >= everyMin * times;
    }
    case 'advised':
      if (sinceMin === Number.POSITIVE_INFINITY) return moment.lit;
      if (film > 0) return moment.lit && sinceMin >= LONGEST_LIT_MIN;
      return dryMin >= moment.mayDryMin && (moment.lit || gradientKpaMin >= DARK_TRIGGER_KPA_MIN);
  }
}

function intervalOf(minutes: readonly number[]): Interval | null {
  if (minutes.length === 0) return null;
  const sorted = minutes.toSorted((a, b) => a - b);
  const at = (share: number) =>
    sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] as number;
  return { middleMin: at(0.5), fromMin: at(0.125), toMin: at(0.875) };
}
