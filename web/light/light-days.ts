import type { LightDay } from '../../shared/wire/places/light.ts';
import { fixed } from '../common/format.ts';

/** Less of a day on record is a part of it, h; a day of a clock change has 23. */
const WHOLE_DAY_H = 22;
/** Least height of the scale, mol m⁻². */
const LEAST_MOL = 2;

/** Whether a day is on record as good as whole, so that its sum can be held against what is wanted. */
export function isWhole({ coveredHours }: Pick<LightDay, 'coveredHours'>): boolean {
  return coveredHours >= WHOLE_DAY_H;
}

/** How a day's light stands to what is wanted; null where that is not known, or the day is not whole. */
export function stateOf(day: LightDay): 'below' | 'within' | 'above' | null {
  const { dliMolM2, wantedLowMolM2: low, wantedHighMolM2: high } = day;
  if (low === null || high === null || !isWhole(day)) return null;
  return dliMolM2 < low ? 'below' : dliMolM2 > high ? 'above' : 'within';
}

/** A day as it is drawn, px from the top left; `band` is what is wanted. */
type LightBar = {
  readonly day: LightDay;
  readonly x: number;
  readonly width: number;
  readonly y: number;
  readonly height: number;
  readonly band: { readonly y: number; readonly height: number } | null;
};
type Box = { readonly widthPx: number; readonly heightPx: number };

/** The most of any day, and of what any wants, so that both fit; never less than 2 mol m⁻². */
export function scaleMol(days: readonly LightDay[]): number {
  return days.reduce(
    (most, { dliMolM2, wantedHighMolM2 }) => Math.max(most, dliMolM2, wantedHighMolM2 ?? 0),
    LEAST_MOL,
  );
}

/** The axis of time of the days: from the first to the end of the last, ms since epoch. */
export function spanOf(days: readonly LightDay[]): { readonly fromMs: number; readonly toMs: number } | null {
  const [first, last] = [days[0], days.at(-1)];
  return first && last ? { fromMs: Date.parse(first.from), toMs: Date.parse(last.to) } : null;
}

/** Days on their axis of time, so that a day without light on record leaves its space empty. */
export function lightBars(days: readonly LightDay[], { widthPx, heightPx }: Box): LightBar[] {
  const span = spanOf(days);
  if (span === null) return [];
  const most = scaleMol(days);
  const x = (time: string) => ((Date.parse(time) - span.fromMs) / (span.toMs - span.fromMs)) * widthPx;
  const y = (mol: number) => heightPx - (mol / most) * heightPx;
  return days.map((day) => {
    const { from, to, dliMolM2, wantedLowMolM2: low, wantedHighMolM2: high } = day;
    const slot = x(to) - x(from);
    const width = Math.max(1, Math.min(28, slot * 0.62));
    const band = low === null || high === null ? null : { y: y(high), height: y(low) - y(high) };
    const top = y(dliMolM2);
    return { day, x: x(from) + (slot - width) / 2, width, y: top, height: heightPx - top, band };
  });
}

/** The days in a sentence: `Of 11 whole days 3 had less light than wanted, and 2 more.` */
export function lightWords(days: readonly LightDay[]): string {
  const whole = days.filter(isWhole);
  const states = whole.flatMap((day) => stateOf(day) ?? []);
  const dayWord = (n: number) => `${n} whole ${n === 1 ? 'day' : 'days'}`;
  if (whole.length === 0) return 'No day is on record as a whole yet.';
  if (states.length === 0) return `${dayWord(whole.length)} on record; the targets say nothing of light.`;
  const [below, above] = [
    states.filter((state) => state === 'below').length,
    states.filter((state) => state === 'above').length,
  ];
  if (below + above === 0) return `All of ${dayWord(states.length)} had the light that is wanted.`;
  const parts = [
    ...(below > 0 ? [`${below} had less light than wanted`] : []),
    ...(above > 0 ? [`${above} had more${below > 0 ? '' : ' light than wanted'}`] : []),
  ];
  return `Of ${dayWord(states.length)} ${parts.join(', and ')}.`;
}

/** What is wanted of a day: `5 to 8`. */
export function wantedText({ wantedLowMolM2: low, wantedHighMolM2: high }: LightDay): string {
  return low === null || high === null ? '–' : `${fixed(low, 0)} to ${fixed(high, 0)}`;
}
