import { assembleCurve } from './assemble.ts';
import { checkMaxGap } from './coverage.ts';
import { joinedMedian, medianAt, type Sample, sampleOnGrid } from './sample.ts';
import { type Curve, mergedTimesMs, type ProbeRecord } from './series.ts';

/**
 * What a quantity computed from others did, such as vapour pressure deficit from air temperature and humidity.
 * It is computed at every time at which any input was read while all the others are known, and is straight
 * between those times. It may jump where the coverage of one of several probes starts or ends.
 * @param derivation.inputs the probes of each input; several probes of one input give their median
 * @param derivation.maxGapMs longest time between joined readings, ms, > 0
 * @param derivation.f the computed quantity from one value an input; null where it does not exist (a gap)
 * @returns the curve in the unit of f
 * @throws RangeError when maxGapMs is not above 0
 * @example derivedCurve({ inputs: { airTemperatureC: [t], relativeHumidityPct: [rh] }, maxGapMs, f: airVpdKpa })
 */
export function derivedCurve<Name extends string>(derivation: {
  inputs: Readonly<Record<Name, readonly ProbeRecord[]>>;
  maxGapMs: number;
  f: (values: Readonly<Record<Name, number>>) => number | null;
}): Curve {
  const { inputs, maxGapMs, f } = derivation;
  checkMaxGap(maxGapMs);
  const names = Object.keys(inputs) as Name[];
  const gridMs = mergedTimesMs(names.flatMap((name) => inputs[name]));
  const sampled = names.map((name) =>
    inputs[name].map((record) => sampleOnGrid(record, { gridMs, maxGapMs })),
  );
  const evaluate = remembering(names, f);
  const ofAll = (valueIn: (samples: readonly Sample[]) => number | null) => evaluate(sampled.map(valueIn));
  return assembleCurve(gridMs, {
    at: (index) => ofAll((samples) => medianAt(samples, index)),
    startOf: (index) => ofAll((samples) => joinedMedian(samples, { index, end: 0 })),
    endOf: (index) => ofAll((samples) => joinedMedian(samples, { index, end: 1 })),
    bendsOf: () => [],
  });
}

// Just before, at and just after a reading the inputs are mostly the same: f is then computed once.
function remembering<Name extends string>(
  names: readonly Name[],
  f: (values: Readonly<Record<Name, number>>) => number | null,
): (values: readonly (number | null)[]) => number | null {
  let lastValues: readonly (number | null)[] = [];
  let lastResult: number | null = null;
  return (values) => {
    if (values.includes(null)) return null;
    if (lastValues.length > 0 && values.every((value, i) => value === lastValues[i])) return lastResult;
    const named = {} as Record<Name, number>;
    names.forEach((name, i) => {
      named[name] = values[i] as number;
    });
    lastValues = values;
    lastResult = f(named);
    return lastResult;
  };
}
