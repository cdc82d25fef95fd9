import type { BandPiece } from '../../../shared/exposure/bands.ts';
import { bandAt } from '../../../shared/model/target-band.ts';
import type { TemperatureBandC } from '../../../shared/model/targets.ts';
import { dayShareAt } from '../calendar/ramp.ts';
import type { TargetSpan } from '../calendar/spans.ts';

type Position = 'rootZone' | 'air';

/** The temperature band of one position at a moment of a span, °C. */
export function bandOf(span: TargetSpan, position: Position, tMs: number): TemperatureBandC {
  return bandAt({ ...span, dayShare: dayShareAt(span, tMs) }, position);
}

/** The temperature band of one position over a span, as it is counted against. */
export function bandPiece(span: TargetSpan, position: Position): BandPiece {
  const { fromMs, toMs, targets, night, move } = span;
  const arrival = edges(bandAt({ targets, night }, position));
  if (move === null) return { fromMs, toMs, ...arrival };
  const { sinceMs, overMs, fromShare } = move;
  const left = edges(bandAt({ targets, night, dayShare: fromShare }, position));
  const stays = left.low === arrival.low && left.high === arrival.high;
  return { fromMs, toMs, ...left, course: stays ? null : { sinceMs, overMs, to: arrival } };
}

function edges({ lowC, highC }: TemperatureBandC): { low: number; high: number } {
  return { low: lowC, high: highC };
}
