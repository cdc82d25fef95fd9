import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { kindWords } from './words.ts';

/** A mark on the axis of time, ms since epoch, with its word. */
export type Mark = { readonly atMs: number; readonly label: string };
/** A mark where it is drawn; its label begins at its line or ends there, or is left out where another takes the space. */
type PlacedMark = {
  readonly x: number;
  readonly label: string | null;
  readonly side: 'right' | 'left';
};

/** Width of a letter of a label, px: rather too wide. */
const LETTER_PX = 7;
const BETWEEN_PX = 6;

/** Entries as marks, the earliest first. */
export function marksOf(entries: readonly DiaryEntry[]): Mark[] {
  return entries
    .map((entry) => ({ atMs: Date.parse(entry.at), label: kindWords(entry).toLowerCase() }))
    .sort((a, b) => a.atMs - b.atMs);
}

/**
 * Where marks stand. A label stands to the right of its line, or to its left where the edge is too near. One that would
 * lie over the one before it is left out: the list and the table have all of them.
 * @param scale.x px of a time
 * @param scale.right px of the right edge
 */
export function placedMarks(
  marks: readonly Mark[],
  scale: { readonly x: (atMs: number) => number; readonly right: number },
): PlacedMark[] {
  let takenTo = Number.NEGATIVE_INFINITY;
  return marks.map(({ atMs, label }) => {
    const x = scale.x(atMs);
    const width = label.length * LETTER_PX;
    const side = x + width > scale.right ? 'left' : 'right';
    const [from, to] = side === 'right' ? [x, x + width] : [x - width, x];
    const fits = from >= takenTo;
    if (fits) takenTo = to + BETWEEN_PX;
    return { x, label: fits ? label : null, side };
  });
}
