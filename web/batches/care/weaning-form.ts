import type { WeaningStep } from '../../../shared/model/cuttings/weaning.ts';
import { instantOfWall } from '../../common/time.ts';

/** One step as typed. */
export type StepValues = { readonly days: string; readonly low: string; readonly high: string };
/** What the form of a plan holds. */
export type WeaningValues = {
  readonly from: string;
  readonly gatePct: string;
  readonly steps: readonly StepValues[];
};

type Body = { readonly from: string; readonly gateShare: number; readonly steps: WeaningStep[] };
type Read =
  | { readonly body: Body; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Record<string, string>> };

/** A step as the form shows it. */
export function stepValues({ days, lowKpa, highKpa }: WeaningStep): StepValues {
  return { days: String(days), low: String(lowKpa), high: String(highKpa) };
}

/** A number with a point or a comma, or NaN. */
function numberOf(typed: string): number {
  const text = typed.trim().replace(',', '.');
  return text === '' ? Number.NaN : Number(text);
}

/**
 * The inputs as a plan of weaning, or what is wrong with them.
 * @param at.stuckMs when the batch was stuck, ms since epoch: it is weaned after
 */
export function weaningOf(values: WeaningValues, at: { stuckMs: number; timeZone: string }): Read {
  const fromMs = instantOfWall({ wall: values.from, timeZone: at.timeZone });
  const gatePct = numberOf(values.gatePct);
  const errors: Record<string, string> = {};
  if (fromMs === null) errors['from'] = 'a date and a time';
  else if (fromMs < at.stuckMs) errors['from'] = 'that is before the batch was stuck';
  if (!(gatePct >= 1 && gatePct <= 100)) errors['gatePct'] = 'a share from 1 to 100 %';
  const steps = values.steps.map((step, i) => {
    const read = { days: numberOf(step.days), lowKpa: numberOf(step.low), highKpa: numberOf(step.high) };
    const fault = stepFault(read);
    if (fault !== null) errors[`step ${i}`] = fault;
    return read;
  });
  if (Object.keys(errors).length > 0 || fromMs === null) return { body: null, errors };
  const from = new Date(fromMs).toISOString();
  return { body: { from, gateShare: gatePct / 100, steps }, errors: null };
}

function stepFault({ days, lowKpa, highKpa }: WeaningStep): string | null {
  if (!(days >= 0.25 && days <= 60)) return 'days from 0.25 to 60';
  if (!(lowKpa >= 0 && lowKpa <= 5 && highKpa >= 0 && highKpa <= 5)) return 'VPD from 0 to 5 kPa';
  return lowKpa < highKpa ? null : 'the upper end must lie above the lower';
}
