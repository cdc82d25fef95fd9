/**
 * The ceiling alarm worked out again from the whole history each time: slow, without state machine or phases, and
 * written from the contract and DEVELOPERS.md alone. Ceiling 26.7 °C, deadband 0.5 K, both delays 60 s,
 * delay halved by each 5 K, 15 min fresh, asks again 15 min after an acknowledgement.
 */
type Sample = { readonly atMs: number; readonly valueC: number };
type ProbeStory = { samples: Sample[]; isMet: boolean };

const MINUTE_MS = 60_000;
const FRESH_MS = 15 * MINUTE_MS;

const isOver = ({ valueC }: Sample) => valueC > 26.7;
const isClear = ({ valueC }: Sample) => valueC <= 26.7 - 0.5;

/** When the unbroken run of such samples that ends with the newest began; null when the newest is none. */
function runStart(samples: readonly Sample[], belongs: (sample: Sample) => boolean): number | null {
  const last = samples.findLastIndex((sample) => !belongs(sample));
  return samples[last + 1]?.atMs ?? null;
}

/** Seconds of the delay used up, in ms, over the run of hot samples that ends with the newest, up to a time. */
function elapsedMs(samples: readonly Sample[], untilMs: number): number {
  const first = samples.findLastIndex((sample) => !isOver(sample)) + 1;
  const run = samples.slice(first);
  return run.reduce(
    (elapsed, { atMs, valueC }, i) =>
      elapsed + ((run[i + 1]?.atMs ?? untilMs) - atMs) * 2 ** ((valueC - 26.7) / 5),
    0,
  );
}

export type ModelEvent = { readonly transition: string; readonly atMs: number };

export function alarmModel() {
  const probes = new Map<string, ProbeStory>();
  const events: ModelEvent[] = [];
  let seen = true;
  let seenMs = 0;
  let stood = false;

  const judge = (atMs: number) => {
    const isMet = [...probes.values()].some((probe) => probe.isMet);
    if (isMet && !stood) {
      seen = false;
      events.push({ transition: 'raised', atMs });
    }
    if (!isMet && stood) events.push({ transition: 'returned', atMs });
    stood = isMet;
  };
  return {
    events,
    state: () => {
      if (stood) return seen ? 'acknowledged' : 'unacknowledged';
      return seen ? 'normal' : 'returned-unacknowledged';
    },
    sample(name: string, sample: Sample) {
      const probe = probes.get(name) ?? { samples: [], isMet: false };
      probes.set(name, probe);
      if ((probe.samples.at(-1)?.atMs ?? 0) >= sample.atMs) return;
      probe.samples.push(sample);
      const start = runStart(probe.samples, probe.isMet ? isClear : isOver);
      const lasted = probe.isMet
        ? sample.atMs - (start ?? sample.atMs)
        : elapsedMs(probe.samples, sample.atMs);
      if (start !== null && lasted >= MINUTE_MS) probe.isMet = !probe.isMet;
      judge(sample.atMs);
    },
    /** Time alone raises, while the newest sample of the run is fresh; it never clears. */
    time(nowMs: number) {
      for (const probe of probes.values()) {
        const start = runStart(probe.samples, isOver);
        if (probe.isMet || start === null || elapsedMs(probe.samples, nowMs) < MINUTE_MS) continue;
        if (nowMs - (probe.samples.at(-1)?.atMs ?? 0) > FRESH_MS) continue;
        probe.isMet = true;
        judge(nowMs);
      }
      if (!stood || !seen || nowMs - seenMs < FRESH_MS) return;
      seen = false;
      events.push({ transition: 're-alarmed', atMs: nowMs });
    },
    acknowledge(atMs: number) {
      if (seen) return;
      seen = true;
      seenMs = atMs;
      events.push({ transition: 'acknowledged', atMs });
    },
  };
}
