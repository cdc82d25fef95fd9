import { HARM_KINDS, type HarmKind } from '../harm/scale.ts';
import { LIMIT_SHEETS, type LimitSheet } from './rules.ts';

/** Where no rule watches a kind, min. */
const RESPOND_DEFAULT_MIN = 60;

/** In how many minutes an action still helps, by kind of harm: the shortest of its rules. */
export const RESPOND_WITHIN_MIN = Object.fromEntries(
  HARM_KINDS.map((kind) => {
    const sheets: readonly LimitSheet[] = Object.values(LIMIT_SHEETS);
    const minutes = sheets
      .filter(({ harm }) => harm === kind)
      .map(({ respondWithinMin }) => respondWithinMin);
    return [kind, minutes.length > 0 ? Math.min(...minutes) : RESPOND_DEFAULT_MIN];
  }),
) as Readonly<Record<HarmKind, number>>;
