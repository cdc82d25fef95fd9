import { MS_PER_HOUR, type ProbeRecord } from '../../../shared/exposure/series.ts';
import { type AirSamples, airSamples, cadenceMs } from '../mist/air-samples.ts';
import { mergedVents, type OpenTime } from './merge.ts';
import { humidityPctAt, recogniseFalls } from './recognise.ts';
import type { LoggedVent, Vent, VentRecord } from './vent.ts';

/** Longest time humidity may take to come back after a vent. */
export const BACK_WITHIN_MS = 2 * MS_PER_HOUR;
/** Humidity is back when it has regained this part of what it lost. */
const BACK_SHARE = 0.8;
/** Humidity before a vent is the mean of this long before. */
const BEFORE_MS = 10 * 60_000;
/** Read more seldom, a place that dries within half an hour looks like one whose cover was opened. */
const COARSEST_CADENCE_MS = 5 * 60_000;

/**
 * The vents of a place: recognised from its air, see `recogniseFalls`, and logged by hand, which wins.
 *
 * Humidity is back when it has regained 80 % of what it lost, within 2 hours after the cover was shut; that is not
 * known (null) where the record has a gap first, ends first, or another vent begins. A vent that lowered nothing
 * counts as back at once. What else dries air at once, such as a humidifier that stops in a leaky case, reads as a vent.
 * @param air temperature readings °C, humidity readings %RH; give 30 minutes more before, and 2 hours after, than is asked about
 * @param options longest time between joined readings, ms, > 0; vents logged by hand
 * @returns vents in order of their start, and whether the readings are dense enough to recognise them
 * @example ventsOf({ temperature: [t], humidity: [rh] }, { maxGapMs: 900_000, logged: [] }).vents
 */
export function ventsOf(
  air: { readonly temperature: readonly ProbeRecord[]; readonly humidity: readonly ProbeRecord[] },
  options: { readonly maxGapMs: number; readonly logged: readonly LoggedVent[] },
): VentRecord {
  const samples = airSamples(air, options);
  const merged = mergedVents({ recognised: recogniseFalls(samples), logged: options.logged });
  const vents = merged.map((vent, i) => described(samples, vent, merged[i + 1]?.fromMs ?? null));
  const apartMs = cadenceMs(samples);
  const reason = doubtOf(apartMs);
  return { vents, reliable: reason === null, reason, cadenceMs: apartMs };
}

function doubtOf(apartMs: number | null): VentRecord['reason'] {
  if (apartMs === null) return 'nothing recorded';
  return apartMs > COARSEST_CADENCE_MS ? 'readings too far apart' : null;
}

function described(samples: AirSamples, vent: OpenTime, nextMs: number | null): Vent {
  const endMs =
    vent.toMs ?? (vent.how === 'logged' ? vent.fromMs + BACK_WITHIN_MS : Number.POSITIVE_INFINITY);
  const before = humidities(samples, { fromMs: vent.fromMs - BEFORE_MS, toMs: vent.fromMs - 1 });
  const during = humidities(samples, { fromMs: vent.fromMs, toMs: endMs });
  const lowestPct =
    during.length > 0 ? during.reduce((lowest, humidity) => Math.min(lowest, humidity)) : null;
  const { fromMs, toMs, how } = vent;
  if (toMs === null || lowestPct === null || before.length === 0) {
    return { fromMs, toMs, how, lowestPct, humidityBack: null, backAtMs: null };
  }
  const beforePct = before.reduce((sum, humidity) => sum + humidity, 0) / before.length;
  const enoughPct = lowestPct + BACK_SHARE * (beforePct - lowestPct);
  return { fromMs, toMs, how, lowestPct, ...aftermath(samples, { toMs, nextMs, enoughPct }) };
}

function aftermath(
  samples: AirSamples,
  after: { readonly toMs: number; readonly nextMs: number | null; readonly enoughPct: number },
): Pick<Vent, 'humidityBack' | 'backAtMs'> {
  const { timesMs, stretchStart, count } = samples;
  const deadlineMs = after.toMs + BACK_WITHIN_MS;
  const notKnown = { humidityBack: null, backAtMs: null };
  const first = firstFrom(samples, after.toMs);
  const start = stretchStart[Math.min(first, count - 1)] as number;
  for (let i = first; i < count; i++) {
    const atMs = timesMs[i] as number;
    if (after.nextMs !== null && atMs >= after.nextMs) return notKnown;
    if (atMs > deadlineMs && stretchStart[i] === start) return { humidityBack: false, backAtMs: null };
    if (atMs > deadlineMs) return notKnown;
    if (humidityPctAt(samples, i) >= after.enoughPct) return { humidityBack: true, backAtMs: atMs };
  }
  return notKnown;
}

function humidities(samples: AirSamples, span: { readonly fromMs: number; readonly toMs: number }): number[] {
  const out: number[] = [];
  for (let i = firstFrom(samples, span.fromMs); i < samples.count; i++) {
    if ((samples.timesMs[i] as number) > span.toMs) break;
    out.push(humidityPctAt(samples, i));
  }
  return out;
}

function firstFrom({ timesMs, count }: AirSamples, atMs: number): number {
  let [low, high] = [0, count];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((timesMs[middle] as number) < atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
