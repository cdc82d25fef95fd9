import type { ROOTS, Roots, SET_UP_KINDS, SetUp } from '../../../shared/model/set-up.ts';
import type { PlaceSummary } from '../../../shared/wire/http.ts';

type Kind = (typeof SET_UP_KINDS)[number];
export type Choice<T> = { readonly value: T; readonly words: string; readonly hint: string };
export type Answers = { readonly [K in keyof SetUp]: SetUp[K] | null };

export const KIND_CHOICES: readonly Choice<Kind>[] = [
  { value: 'dome', words: 'bottle dome', hint: 'a bottle, a lid, a bag: closed, opened by hand' },
  { value: 'case', words: 'heated case', hint: 'a propagator with a cover and its own heat' },
  { value: 'bench', words: 'mist bench', hint: 'open, kept damp by mist or fog' },
  { value: 'frame', words: 'frame', hint: 'a cold frame or a tunnel' },
];

export const MAT_CHOICES: readonly Choice<boolean>[] = [
  { value: true, words: 'yes', hint: 'a mat, a cable or pipes warm the medium' },
  { value: false, words: 'no', hint: 'then nothing is asked of the root zone' },
];

/** In the order in which most people will need them. */
export const ROOTS_CHOICES: readonly Choice<Roots>[] = [
  { value: 'herbaceous', words: 'soft green tips', hint: 'geranium, fuchsia, coleus, petunia' },
  { value: 'softwood', words: 'softwood', hint: 'new shoots of shrubs, spring and early summer' },
  { value: 'semi-hardwood', words: 'half-ripe wood', hint: 'camellia, holly, summer shoots turning firm' },
  { value: 'hardwood', words: 'leafless wood', hint: 'fig, vine, currant, in winter' },
  { value: 'leaf', words: 'leaves', hint: 'African violet, begonia, streptocarpus' },
  { value: 'succulent', words: 'succulents, cacti', hint: 'in open air, without a cover' },
  { value: 'conifer', words: 'conifers', hint: 'juniper, yew, thuja' },
] satisfies readonly Choice<(typeof ROOTS)[number]>[];

/** What is known so far of the three answers. */
export function answersOf({ kind, settings }: Pick<PlaceSummary, 'kind' | 'settings'>): Answers {
  const known = KIND_CHOICES.find(({ value }) => value === kind)?.value ?? null;
  return { kind: known, mat: settings.mat, roots: settings.roots };
}

/** The answers once all three are there; null before. */
export function complete({ kind, mat, roots }: Answers): SetUp | null {
  return kind === null || mat === null || roots === null ? null : { kind, mat, roots };
}

/** What is still to be answered, for the button that waits for it. */
export function missingWords({ kind, mat, roots }: Answers): string {
  const missing = [
    ...(kind === null ? ['what it is'] : []),
    ...(mat === null ? ['whether it has a mat'] : []),
    ...(roots === null ? ['what roots'] : []),
  ];
  return missing.length === 0 ? '' : `Still to choose: ${missing.join(', ')}.`;
}

/** What is known of a place, and where nothing is, what was answered before it was there. */
export function withAnswered({ kind, mat, roots }: Answers, answered: Answers | undefined): Answers {
  return {
    kind: kind ?? answered?.kind ?? null,
    mat: mat ?? answered?.mat ?? null,
    roots: roots ?? answered?.roots ?? null,
  };
}
