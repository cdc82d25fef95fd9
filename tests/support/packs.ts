/** One reading of a probe in a unit of SenML, at a time in ms since epoch. */
export type Point = {
  readonly probe: string;
  readonly unit: string;
  readonly value: number;
  readonly atMs: number;
};

/**
 * A SenML pack with absolute times.
 *
 * @param points its readings, 1 or more
 * @returns the payload
 */
export function packOf(points: readonly Point[]): string {
  return JSON.stringify(
    points.map(({ probe, unit, value, atMs }) => ({ n: probe, u: unit, v: value, t: atMs / 1000 })),
  );
}

/** A value that is sent again and again over a span, both ends included. */
export type Held = Omit<Point, 'atMs'> & {
  readonly fromMs: number;
  readonly toMs: number;
  readonly everyMs: number;
};

/**
 * Readings of one value, evenly over a span.
 *
 * @param held the value, the span in ms since epoch, and the time between readings in ms, which divides the span
 * @returns the readings, oldest first
 */
export function held({ fromMs, toMs, everyMs, ...reading }: Held): Point[] {
  const count = Math.round((toMs - fromMs) / everyMs) + 1;
  return Array.from({ length: count }, (_, k) => ({ ...reading, atMs: fromMs + k * everyMs }));
}
