import type { SentRecord } from '../house.ts';
import type { Values } from './played.ts';
import { PROBES, type ProbeName, type Spell, type Story } from './story.ts';

const MINUTE_MS = 60_000;
const DAWN_HOUR = 6;
const DUSK_HOUR = 20;
const POWER_UP_C = 85;

/** From one spell of climate to the next. */
export type Course = { readonly from: Spell; readonly to: Spell; readonly sinceMs: number };

type ValueQuestion = {
  readonly story: Story;
  readonly nowMs: number;
  readonly sent: number;
  readonly silent: ReadonlySet<ProbeName>;
  /** silent until now */
  readonly back: ReadonlySet<ProbeName>;
};

/** What each probe of the place reads at a moment, in its unit. */
export function valuesAt(
  { from, to, sinceMs }: Course,
  { story, nowMs, sent, silent, back }: ValueQuestion,
): Values {
  const share = to.overMin === 0 ? 1 : Math.min(1, (nowMs - sinceMs) / (to.overMin * MINUTE_MS));
  const between = (a: number, b: number) => a + (b - a) * share;
  // a real chip never says the same for hours
  const noise = ((sent % 5) - 2) * 0.02;
  const hour = new Date(nowMs).getUTCHours();
  const isDay = hour >= DAWN_HOUR && hour < DUSK_HOUR;
  const ppfd = { sun: isDay ? 300 : 0, lamp: 100, dark: 0 }[to.light];
  const of = (name: ProbeName): number => {
    if (name === 'mist/valve') return 0;
    if (name === 'light/ppfd') return Math.max(0, ppfd + noise);
    const apart = name.endsWith('/2') ? between(from.apart, to.apart) : 0;
    if (name.startsWith('air/humidity'))
      return Math.min(100, Math.max(0, between(from.humidityPct, to.humidityPct) + 3 * apart + noise));
    if (back.has(name) && to.powerUp) return POWER_UP_C;
    const isAir = name.startsWith('air');
    return (isAir ? between(from.airC, to.airC) : between(from.rootC, to.rootC)) + apart + noise;
  };
  const reporting = PROBES.filter((name) => story.probes.includes(name) && !silent.has(name));
  return new Map(reporting.map((name) => [name, of(name)]));
}

/** Values as records of a pack. */
export function recordsOf(values: Values): SentRecord[] {
  return [...values].map(([n, v]) => {
    if (n === 'mist/valve') return { n, vb: v > 0 };
    if (n === 'light/ppfd') return { n, u: 'umol/m2/s', v };
    return { n, u: n.startsWith('air/humidity') ? '%RH' : 'Cel', v };
  });
}
