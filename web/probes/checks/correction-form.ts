import { numberOrTyped } from '../../common/form.ts';
import { instantOfWall } from '../../common/time.ts';
import { celsiusLine, type Scale } from './check-words.ts';

/** What the form of a correction holds; `from` is a wall-clock time in the installation's time zone, empty for now. */
type CorrectionValues = {
  readonly offset: string;
  readonly gain: string;
  readonly reason: string;
  readonly from: string;
};

export type CorrectionToEnter = {
  readonly gain: number;
  readonly offset: number;
  readonly reason: string;
  readonly from?: string;
};
type ReadCorrection = {
  /** null while anything is wrong */
  readonly correction: CorrectionToEnter | null;
  readonly errors: Readonly<Record<string, string>>;
};

type Typed = {
  readonly timeZone: string;
  /** of the probe: in its unit for reading gain and shift are typed */
  readonly scale: Scale;
};

/** Reads a correction that was typed. */
export function correctionOf(
  { offset, gain, reason, from }: CorrectionValues,
  { timeZone, scale }: Typed,
): ReadCorrection {
  const [shift, times] = [numberOrTyped(offset.replace('\u2212', '-')), numberOrTyped(gain)];
  const errors = {
    ...(typeof shift === 'number' ? {} : { offset: 'a number, such as -0.4' }),
    ...(typeof times === 'number' ? {} : { gain: 'a number; 1 changes nothing' }),
    ...(reason.trim() === '' ? { reason: 'say why, in a word or two' } : {}),
  };
  if (typeof shift !== 'number' || typeof times !== 'number' || Object.keys(errors).length > 0)
    return { correction: null, errors };
  const fromMs = from === '' ? null : instantOfWall({ wall: from, timeZone });
  const since = fromMs === null ? {} : { from: new Date(fromMs).toISOString() };
  const line = celsiusLine({ gain: times, offset: shift }, scale);
  return { correction: { ...line, reason: reason.trim(), ...since }, errors };
}
