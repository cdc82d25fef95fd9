import type { ProbeRecord, Window } from '../../../shared/exposure/series.ts';

/** Whether there was light to lose water by, as light probes reported it; null where none had reported lately. */
type LightStep = Window & { readonly light: boolean | null };

/**
 * Light as it is judged live, over the past: each reading holds until the next of its probe, for a gap at most, and it
 * is light while one probe reads so much.
 * @param records of the light probes, in µmol m⁻² s⁻¹
 * @param of.span ms since epoch
 * @returns contiguous steps that fill the span
 */
export function lightSteps(
  records: readonly ProbeRecord[],
  of: { readonly span: Window; readonly maxGapMs: number; readonly lightFrom: number },
): LightStep[] {
  const { span, maxGapMs } = of;
  const next = records.map(() => 0);
  const steps: LightStep[] = [];
  for (const tMs of turns(records, maxGapMs)) {
    if (tMs >= span.toMs) break;
    const light = lightAt(records, next, { ...of, tMs });
    const fromMs = Math.max(tMs, span.fromMs);
    const last = steps.at(-1);
    if (last && (last.light === light || last.fromMs === fromMs)) {
      if (last.light !== light) steps[steps.length - 1] = { ...last, light };
      continue;
    }
    if (last) steps[steps.length - 1] = { ...last, toMs: fromMs };
    else if (fromMs > span.fromMs) steps.push({ fromMs: span.fromMs, toMs: fromMs, light: null });
    steps.push({ fromMs, toMs: span.toMs, light });
  }
  return steps.length > 0 ? steps : [{ ...span, light: null }];
}

/** The times at which it may change: readings, and the moment a reading is out of date. */
function turns(records: readonly ProbeRecord[], maxGapMs: number): Float64Array {
  const times = records.flatMap(({ timesMs }) => {
    const ends: number[] = [];
    for (let i = 0; i < timesMs.length; i += 1) {
      const tMs = timesMs[i] as number;
      const nextMs = timesMs[i + 1] ?? Number.POSITIVE_INFINITY;
      if (nextMs - tMs > maxGapMs) ends.push(tMs + maxGapMs + 1);
    }
    return [...timesMs, ...ends];
  });
  return Float64Array.from(times).sort();
}

function lightAt(
  records: readonly ProbeRecord[],
  next: number[],
  { tMs, maxGapMs, lightFrom }: { tMs: number; maxGapMs: number; lightFrom: number },
): boolean | null {
  let seen: boolean | null = null;
  for (const [probe, { timesMs, values }] of records.entries()) {
    let at = next[probe] as number;
    while (at < timesMs.length && (timesMs[at] as number) <= tMs) at += 1;
    next[probe] = at;
    const lastMs = timesMs[at - 1];
    if (lastMs === undefined || tMs - lastMs > maxGapMs) continue;
    seen = seen === true || (values[at - 1] as number) >= lightFrom;
  }
  return seen;
}
