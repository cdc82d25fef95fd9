import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';
import { joinedMedian, medianAt, medianOf, sampleOnGrid } from '../../../shared/exposure/sample.ts';
import { mergedTimesMs, type ProbeRecord } from '../../../shared/exposure/series.ts';

/** The air as its probes read it; finer readings are drawn together. */
export type AirSamples = {
  readonly count: number;
  /** time of the first reading in each sample, ms since epoch */
  readonly timesMs: Float64Array;
  readonly vapourKpa: Float64Array;
  /** pressure at which air so warm would be saturated, kPa */
  readonly saturatedKpa: Float64Array;
  /** first sample of the covered stretch each one lies in */
  readonly stretchStart: Int32Array;
};

/** Readings nearer than this are drawn together: neither mist nor a vent acts on air and probe faster. */
const DRAWN_TOGETHER_MS = 45_000;

/**
 * Vapour pressure and saturation pressure of a place's air over time, medians of its probes.
 * @param air temperature readings °C; humidity readings %RH, above 100 taken as 100
 * @param options.maxGapMs longest time between joined readings, ms, > 0
 * @returns samples where both are known; their count is no more than that of the readings
 * @example airSamples({ temperature: [t], humidity: [rh] }, { maxGapMs: 900_000 }).vapourKpa
 */
export function airSamples(
  air: { readonly temperature: readonly ProbeRecord[]; readonly humidity: readonly ProbeRecord[] },
  options: { readonly maxGapMs: number },
): AirSamples {
  const gridMs = mergedTimesMs([...air.temperature, ...air.humidity]);
  const sampled = (record: ProbeRecord) => sampleOnGrid(record, { gridMs, maxGapMs: options.maxGapMs });
  const [temperatures, humidities] = [air.temperature.map(sampled), air.humidity.map(sampled)];
  const room = emptySamples(gridMs.length);
  let [unbroken, drawn] = [false, 0];
  for (let i = 0; i < gridMs.length; i++) {
    const [temperatureC, humidityPct] = [medianAt(temperatures, i), medianAt(humidities, i)];
    if (temperatureC === null || humidityPct === null) {
      unbroken = false;
      continue;
    }
    const last = room.count - 1;
    const atMs = gridMs[i] as number;
    const goesOn = unbroken && atMs - (room.timesMs[last] as number) < DRAWN_TOGETHER_MS;
    const index = goesOn ? last : room.count++;
    drawn = goesOn ? drawn + 1 : 1;
    if (!goesOn) {
      room.timesMs[index] = atMs;
      room.stretchStart[index] = unbroken ? (room.stretchStart[last] as number) : index;
    }
    const saturatedKpa = saturationPressureOverWaterKpa(temperatureC);
    drawInto(room.saturatedKpa, { index, drawn, value: saturatedKpa });
    const vapourKpa = (saturatedKpa * Math.min(100, humidityPct)) / 100;
    drawInto(room.vapourKpa, { index, drawn, value: vapourKpa });
    const interval = { index: i, end: 0 } as const;
    unbroken = joinedMedian(temperatures, interval) !== null && joinedMedian(humidities, interval) !== null;
  }
  return room;
}

/**
 * The usual time between samples that are joined.
 * @param samples of the air, or of anything else that is sampled
 * @returns ms, null where no two are joined
 * @example cadenceMs(samples) // 60000
 */
export function cadenceMs(samples: Pick<AirSamples, 'count' | 'timesMs' | 'stretchStart'>): number | null {
  const { count, timesMs, stretchStart } = samples;
  const apartMs: number[] = [];
  for (let i = 1; i < count; i++) {
    if ((stretchStart[i] as number) < i) apartMs.push((timesMs[i] as number) - (timesMs[i - 1] as number));
  }
  return medianOf(apartMs);
}

function emptySamples(length: number) {
  return {
    count: 0,
    timesMs: new Float64Array(length),
    vapourKpa: new Float64Array(length),
    saturatedKpa: new Float64Array(length),
    stretchStart: new Int32Array(length),
  };
}

function drawInto(
  means: Float64Array,
  at: { readonly index: number; readonly drawn: number; readonly value: number },
): void {
  const before = means[at.index] as number;
  means[at.index] = before + (at.value - before) / at.drawn;
}
