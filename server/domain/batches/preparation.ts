import seeds from '../../../seeds/care/preparation.json' with { type: 'json' };
import type { BatchDetails } from '../../../shared/model/cuttings/batch.ts';
import type { KeptStep, PreparationBody } from '../../../shared/model/cuttings/preparation.ts';
import type { KnownStep, PreparationStep } from '../../../shared/wire/cuttings/preparations.ts';
import { localDays } from '../calendar/days.ts';

const DAY_MS = 86_400_000;
const MAX_MEDIUM_CHARS = 200;
const MAX_NOTE_CHARS = 2_000;

/** Steps to choose from, as shipped. */
export const KNOWN_STEPS: readonly KnownStep[] = seeds.steps.map((step) => ({
  ...step,
  disputed: step.disputed ?? null,
}));

/** The local day of an instant. @param zone IANA time zone */
export function localDay(atMs: number, zone: string): string {
  return localDays({ fromMs: atMs, toMs: atMs + 1, zone })[0]?.date ?? '';
}

/** The calendar day so many days before another. @example dayBefore('2026-03-01', 1) // 2026-02-28 */
function dayBefore(day: string, days: number): string {
  return new Date(Date.parse(day) - days * DAY_MS).toISOString().slice(0, 10);
}

/** Calendar days from one to another. @example daysBetween('2026-02-28', '2026-03-01') // 1 */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(to) - Date.parse(from)) / DAY_MS);
}

/**
 * The steps of a plan, each on its day counted back from sticking; whatever was done stays done when that day moves.
 * @param today the local day
 * @returns by the day on which they are due
 */
export function stepsOf(
  { stickOn, steps }: Pick<PreparationBody, 'stickOn' | 'steps'>,
  today: string,
): PreparationStep[] {
  return steps
    .map((step): PreparationStep => {
      const { id, name, daysBefore, doneMs } = step;
      const known = KNOWN_STEPS.find((one) => one.id === id);
      const due = dayBefore(stickOn, daysBefore);
      return {
        id,
        name: name ?? known?.name ?? id,
        what: known?.what ?? null,
        daysBefore,
        source: known?.source ?? null,
        disputed: known?.disputed ?? null,
        due,
        state: stateOf(step, { due, today }),
        doneAt: doneMs === null ? null : new Date(doneMs).toISOString(),
      };
    })
    .sort((a, b) => b.daysBefore - a.daysBefore);
}

function stateOf(
  { doneMs }: KeptStep,
  { due, today }: { readonly due: string; readonly today: string },
): PreparationStep['state'] {
  if (doneMs !== null) return 'done';
  if (due === today) return 'due';
  return due < today ? 'late' : 'ahead';
}

/** What was planned of a batch, as it is noted of the batch once it is stuck. */
export function batchDetailsOf(body: PreparationBody): Partial<BatchDetails> {
  const { cultivar, stockPlant, tray, position, hormone, hormoneStrength } = body;
  return {
    cultivar,
    stockPlant,
    medium: mediumOf(body),
    tray,
    position,
    hormone,
    hormoneStrength,
    note: noteOf(body),
  };
}

function mediumOf({ medium, mediumState, mediumSterile }: PreparationBody): string | null {
  const words = [
    ...(medium === null ? [] : [medium]),
    ...(mediumState === null ? [] : [mediumState]),
    ...(mediumSterile === null ? [] : [mediumSterile ? 'sterile' : 'not sterile']),
  ];
  return words.join(', ').slice(0, MAX_MEDIUM_CHARS).trim() || null;
}

function noteOf({ permission, note }: PreparationBody): string | null {
  const lines = [
    ...(permission === null ? [] : [`Permission: ${permission}`]),
    ...(note === null ? [] : [note]),
  ];
  return lines.join('\n').slice(0, MAX_NOTE_CHARS).trim() || null;
}
