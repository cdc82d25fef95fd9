/** Cuttings that mist no longer reaches, and the air they stand in. */
export type UnmistedCuttings = {
  /** days since sticking */
  readonly ageDays: number;
  /** vapour pressure deficit, of the leaf where its temperature is known, kPa */
  readonly vpdKpa: number;
  /** light on the leaves, µmol m⁻² s⁻¹; null where it is not known */
  readonly ppfdUmolM2S: number | null;
  /** whether they are poinsettia, the only crop that was measured */
  readonly isPoinsettia: boolean;
};

/** Minutes until cuttings without mist wilt: an estimate, and the range that it leaves open; none above `LONGEST_MEASURED_MIN`. */
type MinutesEstimate = {
  readonly minutes: number;
  readonly low: number;
  readonly high: number;
  /** the estimate itself lies beyond the longest that was measured, so that nothing is known but that */
  readonly longerThanMeasured: boolean;
};

/** Minutes from the last mist to wilting of poinsettia in the dark, by days since sticking. @source [ALEM19] */
const WILTING_IN_THE_DARK: readonly { readonly day: number; readonly minutes: number }[] = [
  { day: 0, minutes: 72 },
  { day: 2, minutes: 130 },
  { day: 4, minutes: 224 },
  { day: 6, minutes: 325 },
];
/** The longest of the paper, min: an estimate beyond it would rest on nothing that was measured. @source [ALEM19] */
export const LONGEST_MEASURED_MIN = 325;
/** The paper says nothing of older cuttings, and roots take over within days. @source [ALEM19] */
const LAST_DAY = 6;

/**
 * Our model around the paper's four figures. The air of its test was not seen: a room of about 1.2 kPa is a guess that
 * may be wrong by half either way. It says "much faster" at 275 µmol m⁻² s⁻¹ without minutes: three times is our guess.
 */
const MODEL = {
  testVpdKpa: 1.2,
  airUnknown: 1.5,
  /** below this the model goes no further: leaves of other places of a bench are drier */
  leastVpdKpa: 0.1,
  testPpfdUmolM2S: 275,
  fasterInLight: 3,
  lightUnknown: 1.6,
  otherCrop: 2,
} as const;

/**
 * How long a batch stands without mist before it wilts, from the last film on its leaves.
 *
 * The paper's minutes by age (a straight line between its four days) are scaled to the air, as water that pulls harder
 * is lost sooner and the water lost at wilting did not depend on age; light makes it faster. Scaling and light are our
 * model. The range widens by half for the air of the test that was not seen, twofold for every other crop, with the
 * square root of how far the air is from the test's, and in light or where light is not known. The cuttings of the
 * paper stood with their bases out of water: in moist medium there is more time. Nothing is said beyond the longest that
 * was measured, as scaled minutes in damp air would be: estimate and range are cut there.
 * @param cuttings age 0…6 days; VPD from 0 kPa, below 0.1 taken as 0.1; light from 0 µmol m⁻² s⁻¹
 * @returns minutes, low ≤ minutes ≤ high ≤ 325; null past day 6, of which the paper says nothing
 * @throws RangeError for an age, VPD or light below 0 or not a number
 * @source [ALEM19] minutes by age in the dark; scaling, light and ranges are the project's own model
 * @example minutesWithoutMist({ ageDays: 0, vpdKpa: 1.2, ppfdUmolM2S: 0, isPoinsettia: true }) // minutes 72, 48 to 108
 */
export function minutesWithoutMist(cuttings: UnmistedCuttings): MinutesEstimate | null {
  const { ageDays, vpdKpa, ppfdUmolM2S, isPoinsettia } = cuttings;
  for (const [name, value] of Object.entries({ ageDays, vpdKpa, ppfdUmolM2S: ppfdUmolM2S ?? 0 }))
    if (!(value >= 0)) throw new RangeError(`${name} must be 0 or more, was ${value}`);
  if (ageDays > LAST_DAY) return null;
  const pull = Math.max(vpdKpa, MODEL.leastVpdKpa) / MODEL.testVpdKpa;
  const light = (ppfdUmolM2S ?? 0) / MODEL.testPpfdUmolM2S;
  const minutes = darkMinutes(ageDays) / pull / (1 + (MODEL.fasterInLight - 1) * Math.min(light, 1));
  const wider =
    MODEL.airUnknown *
    Math.sqrt(Math.max(pull, 1 / pull)) *
    (isPoinsettia ? 1 : MODEL.otherCrop) *
    (1 + (MODEL.lightUnknown - 1) * light);
  // without a light probe it may be light: the low end is that of the paper's light
  const unseen = ppfdUmolM2S === null ? MODEL.fasterInLight * MODEL.lightUnknown : 1;
  const cut = (one: number) => Math.min(one, LONGEST_MEASURED_MIN);
  return {
    minutes: cut(minutes),
    low: cut(minutes / wider / unseen),
    high: cut(minutes * wider),
    longerThanMeasured: minutes > LONGEST_MEASURED_MIN,
  };
}

function darkMinutes(ageDays: number): number {
  const next = WILTING_IN_THE_DARK.findIndex(({ day }) => day >= ageDays);
  const after = WILTING_IN_THE_DARK[next];
  const before = WILTING_IN_THE_DARK[next - 1];
  if (!after || !before) return after?.minutes ?? 0;
  const share = (ageDays - before.day) / (after.day - before.day);
  return before.minutes + share * (after.minutes - before.minutes);
}
