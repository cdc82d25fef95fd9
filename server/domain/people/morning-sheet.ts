import type { Person, Roster } from '../../../shared/model/people/people.ts';

/** The kind of a message that is a morning sheet. */
export const MORNING_SHEET = 'sheet.morning';

const DAY_MS = 86_400_000;
/** What no sheet has shown is forgotten after so long, ms. Proposal. */
const REMEMBERED_MS = 3 * DAY_MS;

/** Who gets the morning sheet: those of the first step of the escalation who can be reached. */
export function sheetReaders({ people, ladder: { steps } }: Roster): Person[] {
  const firstMin = steps[0]?.afterMin;
  const first = steps.filter(({ afterMin }) => afterMin === firstMin).map(({ personId }) => personId);
  return people.filter(({ id, ways: methods }) => first.includes(id) && methods.length > 0);
}

/**
 * From when on what harmed a place, or could not be seen, is remembered: since the newest morning sheet that arrived,
 * at most 72 h; the last 24 h where nobody gets a sheet.
 * @param shownMs when the newest sheet that arrived was written, ms since epoch; null where none is known
 * @returns ms since epoch: what ended before is not remembered
 */
export function rememberedFromMs({
  hasReaders,
  shownMs,
  nowMs,
}: {
  readonly hasReaders: boolean;
  readonly shownMs: number | null;
  readonly nowMs: number;
}): number {
  if (!hasReaders) return nowMs - DAY_MS;
  // one of a later time was written by a clock that was ahead
  const shown = shownMs !== null && shownMs <= nowMs ? shownMs : 0;
  return Math.max(shown, nowMs - REMEMBERED_MS);
}
