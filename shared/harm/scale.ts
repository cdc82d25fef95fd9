/** What harms cuttings without roots, worst first where two weigh the same; ids of the contract's excursions. */
export const HARM_KINDS = [
  'air-over-ceiling',
  'root-zone-over-ceiling',
  'air-far-too-cold',
  'vpd-above-band',
  'root-zone-below-band',
  'air-below-band',
] as const;
export type HarmKind = (typeof HARM_KINDS)[number];

/** How well a constant is known. */
type Known = 'published' | 'common practice' | 'proposal';

/**
 * How soon a batch is harmed beyond a limit. `tolerableHours`: at the limit itself where a hard limit starts with a
 * rate of its own, else what the rate is scaled by. `step`: K or kPa beyond the limit that doubles the rate; for the
 * root zone below its band, K below it at which rooting has stopped.
 */
export type HarmConstants = { readonly tolerableHours: number; readonly step: number };

type Entry = HarmConstants & {
  /** what happened, in words */
  readonly name: string;
  readonly unit: 'K' | 'kPa';
  readonly formula: string;
  readonly known: Known;
  readonly basis: string;
};

/** At 0 °C and below tender tissue freezes: half an hour is tolerable. Proposal. */
export const FROST = { atOrBelowC: 0, tolerableHours: 0.5 } as const;

/** Air that counts as far too cold, °C, unless the sheet says otherwise: tropical tissue is chilled at 8 to 12 °C [EP429]. */
export const FAR_TOO_COLD_C = 10;

/** The one table of constants; a sheet may set others. 1 = a batch is expected to be damaged, or to have lost a day. */
export const HARM_SCALE: Readonly<Record<HarmKind, Entry>> = {
  'air-over-ceiling': {
    name: 'air over its ceiling',
    tolerableHours: 6,
    step: 2.5,
    unit: 'K',
    formula: '2^(x / step) / tolerable time',
    known: 'proposal',
    basis:
      'That cuttings cook in minutes to two hours is common practice; that the time falls exponentially and that doses add is published (thyme) [HEATDOSE].',
  },
  'root-zone-over-ceiling': {
    name: 'root zone too hot',
    tolerableHours: 4,
    step: 2,
    unit: 'K',
    formula: '2^(x / step) / tolerable time',
    known: 'proposal',
    basis: 'That new roots brown within hours is common practice.',
  },
  'air-far-too-cold': {
    name: 'air far too cold',
    tolerableHours: 12,
    step: 3,
    unit: 'K',
    formula: '2^(x / step) / tolerable time; 2 an hour at 0 °C and below',
    known: 'proposal',
    basis: '8 to 12 °C chills tropical tissue [EP429]; some foliage is injured by 24 h at 12.8 °C.',
  },
  'vpd-above-band': {
    name: 'air too dry by day',
    tolerableHours: 2,
    step: 0.4,
    unit: 'kPa',
    formula: '(2^(x / step) − 1) / tolerable time',
    known: 'proposal',
    basis:
      'Wilting within the hour is common practice; loblolly pine rooted well at a mean of 0.60 to 0.85 kPa [LEBUDE05].',
  },
  'root-zone-below-band': {
    name: 'root zone below its band',
    tolerableHours: 24,
    step: 10,
    unit: 'K',
    formula: 'share of the rooting rate lost / tolerable time; all of it is lost at one step',
    known: 'proposal',
    basis: 'Rooting rate of poinsettia is 0 at 21 °C and full at 28 °C [WILKERSON05]; others: linear.',
  },
  'air-below-band': {
    name: 'air below its band',
    tolerableHours: 48,
    step: 4,
    unit: 'K',
    formula: '(2^(x / step) − 1) / tolerable time',
    known: 'proposal',
    basis: 'Lost time, as long as it is not far too cold.',
  },
};

/** Harm by kind; dimensionless. */
export type Harm = Readonly<Record<HarmKind, number>>;

/** All kinds together. */
export function totalHarm(harm: Harm): number {
  return HARM_KINDS.reduce((sum, kind) => sum + harm[kind], 0);
}
