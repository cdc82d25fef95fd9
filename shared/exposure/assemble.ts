import type { Curve, Knots, Segments } from './series.ts';

/** What a quantity is at and between the times of a grid; null where it is not known or not covered. */
type GridReader = {
  readonly at: (index: number) => number | null;
  readonly startOf: (interval: number) => number | null;
  readonly endOf: (interval: number) => number | null;
  readonly bendsOf: (interval: number) => readonly Bend[];
};

/** A moment strictly inside an interval of the grid at which the slope changes. */
export type Bend = { readonly tMs: number; readonly value: number };

/**
 * Puts the values at the ends of all grid intervals together into one curve.
 * @param gridMs strictly ascending times, ms since epoch
 * @param reader values on the grid; a value may differ just before, at and just after a grid time
 * @returns the curve, in the unit of the reader
 * @example assembleCurve(gridMs, { at, startOf, endOf, bendsOf: () => [] })
 */
export function assembleCurve(gridMs: Float64Array, reader: GridReader): Curve {
  const segments = segmentList(gridMs.length);
  const knots = knotList(gridMs.length);
  let start: number | null = null;
  let unbroken = false;
  for (let i = 0; i < gridMs.length; i++) {
    const atMs = gridMs[i] as number;
    const end = start === null ? null : reader.endOf(i - 1);
    if (start !== null && end !== null) {
      let from: Bend = { tMs: gridMs[i - 1] as number, value: start };
      for (const bend of reader.bendsOf(i - 1)) {
        segments.push(from, bend);
        from = bend;
      }
      segments.push(from, { tMs: atMs, value: end });
    } else {
      unbroken = false;
    }
    const value = reader.at(i);
    if (value !== null) {
      knots.push({ tMs: atMs, value }, unbroken);
      unbroken = true;
    }
    start = reader.startOf(i);
  }
  return { segments: segments.done(), knots: knots.done() };
}

function segmentList(expected: number) {
  let room = { count: 0, ...emptySegments(expected) };
  return {
    push(from: Bend, to: Bend): void {
      if (room.count === room.startMs.length) room = grown(room);
      room.startMs[room.count] = from.tMs;
      room.endMs[room.count] = to.tMs;
      room.startValue[room.count] = from.value;
      room.endValue[room.count] = to.value;
      room.count++;
    },
    done: (): Segments => room,
  };
}

function emptySegments(length: number) {
  return {
    startMs: new Float64Array(length),
    endMs: new Float64Array(length),
    startValue: new Float64Array(length),
    endValue: new Float64Array(length),
  };
}

function grown(full: Segments) {
  const room = { count: full.count, ...emptySegments(2 * full.count + 1) };
  room.startMs.set(full.startMs);
  room.endMs.set(full.endMs);
  room.startValue.set(full.startValue);
  room.endValue.set(full.endValue);
  return room;
}

function knotList(most: number) {
  const timesMs = new Float64Array(most);
  const values = new Float64Array(most);
  const joined = new Uint8Array(most);
  let count = 0;
  return {
    push(at: Bend, joinedToLast: boolean): void {
      if (count > 0) joined[count - 1] = joinedToLast ? 1 : 0;
      timesMs[count] = at.tMs;
      values[count] = at.value;
      count++;
    },
    done: (): Knots => ({ count, timesMs, values, joined }),
  };
}
