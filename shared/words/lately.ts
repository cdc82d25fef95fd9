import type { Blind } from '../harm/place-state.ts';
import { valueWords } from '../rules/limit-rule.ts';
import type { PlaceCondition, PlaceSummary } from '../wire/http.ts';
import type { ExcursionKind } from '../wire/places/night.ts';
import { clock, duration, type Reader, temperature } from './plain.ts';

type Lately = PlaceCondition['lately'][number];
type Beyond = { readonly was: 'was' | 'has been'; readonly far: string; readonly peak: string };

type PastWords = { readonly was: (of: Beyond) => string; readonly look: string | null };

/** What was beyond its limit, in words, and what to look at once it is over. */
const WAS: Readonly<Record<ExcursionKind, PastWords>> = {
  'air-over-ceiling': {
    was: ({ was, far }) => `air ${was} ${far} over its ceiling`,
    look: 'Look at the leaves: limp ones need mist and shade.',
  },
  'root-zone-over-ceiling': {
    was: ({ was, far }) => `root zone ${was} ${far} too hot`,
    look: 'Look at a root or two, and at where the thermostat’s probe lies.',
  },
  'air-far-too-cold': {
    was: ({ was, peak }) => `air ${was} far too cold, down to ${peak}`,
    look: 'Look at the leaves for dark, glassy patches, and at the heating.',
  },
  'vpd-above-band': {
    was: ({ was, far }) => `air ${was} too dry, VPD ${far} above target`,
    look: 'Look at the leaves: limp ones need mist and shade.',
  },
  'root-zone-below-band': {
    was: ({ was, far }) => `root zone ${was} ${far} below its band`,
    look: 'Look at the mat, its plug and its residual-current switch.',
  },
  'air-below-band': {
    was: ({ was, far }) => `air ${was} ${far} below its band`,
    look: 'Check the heating and the covers.',
  },
  'air-above-band': { was: ({ was, far }) => `air ${was} ${far} above its band`, look: null },
  'root-zone-above-band': { was: ({ was, far }) => `root zone ${was} ${far} above its band`, look: null },
  saturated: { was: ({ was }) => `air ${was} saturated`, look: null },
  'no-mist': { was: () => 'mist stayed away in light', look: 'Check the valve, the water and the filter.' },
  'no-data': { was: () => 'no readings', look: null },
};

/** What cannot be judged, in words. */
export const BLIND_WORDS: Readonly<Record<Blind, string>> = {
  heat: 'air temperature is not reporting: heat is not monitored',
  'heat-unmeasured': 'no air probe: heat is not monitored',
  dryness: 'humidity is not reporting: dryness is not monitored',
  'root-zone': 'the root-zone probe is not reporting',
  mist: 'misting cannot be monitored now',
};

/**
 * One stretch of what is remembered: "air was 5.6 °C over its ceiling for 13 min from 14:10"; "has been" while it goes
 * on.
 */
export function latelyWords(one: Lately, reader: Reader): string {
  const fromMs = Date.parse(one.from);
  const toMs = one.to === null ? reader.nowMs : Date.parse(one.to);
  return `${WAS[one.kind].was(beyondOf({ ...one, goesOn: one.to === null }, reader))} for ${duration(toMs - fromMs)} from ${clock(fromMs, reader)}`;
}

/** Stretches of one kind, in the order of time. */
type Stretches = {
  readonly kind: ExcursionKind;
  /** furthest beyond its limit, K or kPa, and the value there; null where it is not measured so */
  readonly furthest: number | null;
  readonly peak: number | null;
  readonly totalMs: number;
  readonly count: number;
  readonly fromMs: number;
  readonly goesOn: boolean;
};

/** All stretches of a kind: "air was 2.1 °C below its band for 3 h 10 min, 4 times from 23:40". */
export function stretchesWords(one: Stretches, reader: Reader): string {
  const { kind, totalMs, count, fromMs, goesOn } = one;
  const from = `from ${clock(fromMs, reader)}`;
  const times = count === 1 ? ` ${from}` : ` in all, ${count} times ${from}`;
  const still = goesOn && count > 1 ? ', and is so now' : '';
  return `${WAS[kind].was(beyondOf(one, reader))} for ${duration(totalMs)}${times}${still}`;
}

/**
 * What is remembered, once for each kind in the order given: "air was too dry, VPD 0.30 kPa above target for 50 min in all,
 * 2 times from 11:10".
 */
export function latelyTogether(lately: readonly Lately[], reader: Reader): string[] {
  return [...Map.groupBy(lately, ({ kind }) => kind).values()].map((ones) => {
    const [only] = ones;
    if (ones.length === 1 && only) return latelyWords(only, reader);
    const furthestOne = ones.reduce((a, b) => ((b.furthest ?? 0) > (a.furthest ?? 0) ? b : a));
    const fromMs = ones.map(({ from }) => Date.parse(from));
    const toMs = ones.map(({ to }) => (to === null ? reader.nowMs : Date.parse(to)));
    return stretchesWords(
      {
        ...furthestOne,
        totalMs: toMs.reduce((sum, atMs, i) => sum + atMs - (fromMs[i] as number), 0),
        count: ones.length,
        fromMs: Math.min(...fromMs),
        goesOn: ones.some(({ to }) => to === null),
      },
      reader,
    );
  });
}

/** What to look at afterwards. */
export function afterwardsWords({ kind }: { readonly kind: ExcursionKind }): string | null {
  return WAS[kind].look;
}

function beyondOf(
  { kind, furthest, peak, goesOn }: Pick<Stretches, 'kind' | 'furthest' | 'peak' | 'goesOn'>,
  reader: Reader,
): Beyond {
  const far =
    kind === 'vpd-above-band' ? `${(furthest ?? 0).toFixed(2)} kPa` : valueWords('K', furthest ?? 0, reader);
  return { was: goesOn ? 'has been' : 'was', far, peak: temperature(peak ?? 0, reader) };
}

/** Saturated air where the target sheet asks about it; null where it does not, or the air is not saturated. */
export function saturatedWords({ now, targets }: Pick<PlaceSummary, 'now' | 'targets'>): string | null {
  const hours = targets.alarms?.saturatedHours;
  if (hours === undefined || now.quantities.relativeHumidityPct?.state !== 'saturated') return null;
  return `air saturated; its target sheet allows ${duration(hours * 3_600_000)} without a vent`;
}

/** More is not worth a sentence, min. */
const SAID_BELOW_MIN = 24 * 60;

/** How long a batch has at the present rate; null where nothing harms it, or it has more than a day. */
export function minutesLeftWords({ minutesLeft }: Pick<PlaceCondition, 'minutesLeft'>): string | null {
  if (minutesLeft === null || minutesLeft >= SAID_BELOW_MIN) return null;
  if (minutesLeft < 1) return 'Cuttings without roots are expected to be damaged by now.';
  return `At this rate cuttings without roots are expected to be damaged in ${duration(minutesLeft * 60_000)}.`;
}
