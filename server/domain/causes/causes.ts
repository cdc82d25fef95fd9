import { CAUSES, type Cause, type Evidence, HYPOTHESES } from './hypotheses.ts';
import { type Scene, type Signals, signalsOf } from './signals.ts';

/** The first must reach this, and lie so far before the second; else the cause is not known. Proposals of the project. */
const LEAST_SCORE = 0.55;
const LEAST_LEAD = 0.08;
/** Where the first leads so clearly it is said without a doubt. */
const CONFIDENT_SCORE = 0.75;
const CONFIDENT_LEAD = 0.25;

type ScoredHypothesis = {
  readonly cause: Cause;
  /** 0…1 */
  readonly score: number;
  readonly evidence: readonly string[];
  readonly sentence: string;
  readonly toBeSure: string;
};

/** The likely cause; null where it is not known, with the hypotheses in order and what would tell them apart. */
export type Verdict = {
  readonly likely: ScoredHypothesis | null;
  readonly isConfident: boolean;
  readonly hypotheses: readonly ScoredHypothesis[];
};

/**
 * Why a place went beyond a limit, from the order and shape of what moved.
 * @param scene its readings up to the moment at which it is judged, 90 min at least
 * @param among the causes that come into question; all unless given
 * @returns every hypothesis with its score and evidence, best first
 * @example causeOf({ atMs: 0, air: null, root: null, humidity: null, light: null, outside: null, valve: null, covered: false }).likely // null
 */
export function causeOf(scene: Scene, among: readonly Cause[] = CAUSES): Verdict {
  const signals = signalsOf(scene);
  const hypotheses = among.map((cause) => scored(cause, signals)).sort((a, b) => b.score - a.score);
  const [first, second] = hypotheses;
  if (!first) return { likely: null, isConfident: false, hypotheses };
  const lead = first.score - (second?.score ?? 0);
  const isKnown = first.score >= LEAST_SCORE && lead >= LEAST_LEAD;
  return {
    likely: isKnown ? first : null,
    isConfident: first.score >= CONFIDENT_SCORE && lead >= CONFIDENT_LEAD,
    hypotheses,
  };
}

function scored(cause: Cause, signals: Signals): ScoredHypothesis {
  const { evidence, sentence, toBeSure } = HYPOTHESES[cause];
  const seen = evidence(signals);
  const words = seen.filter(({ weight }) => weight > 0.5).map((one) => one.words);
  return { cause, score: scoreOf(seen), evidence: words, sentence, toBeSure };
}

/** What is missing rules out, so the geometric mean, and the weakest of all counts as much again. */
function scoreOf(evidence: readonly Evidence[]): number {
  const product = evidence.reduce((sum, { weight }) => sum * weight, 1);
  const weakest = Math.min(...evidence.map(({ weight }) => weight));
  return Math.sqrt(product ** (1 / evidence.length) * weakest);
}
