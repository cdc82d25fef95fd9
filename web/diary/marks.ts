import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { kindWords } from './words.ts';

/** A mark on the axis of time, ms since epoch, with its word. */
export type Mark = { readonly atMs: number; readonly label: string };
/** A mark where it is drawn; without a label where the one before it takes the space. */
export type PlacedMark = { readonly x: number; readonly label: string | null };

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
 * Where marks stand. A label that would lie over the one before it, or beyond the right edge, is left out: the list and
 * the table have all of them.
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
    const end = x + label.length * LETTER_PX;
    const fits = x >= takenTo && end <= scale.right;
    if (fits) takenTo = end + BETWEEN_PX;
    return { x, label: fits ? label : null };
  });
}
