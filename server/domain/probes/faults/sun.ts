import { medianOf } from '../../../../shared/exposure/sample.ts';
import { MS_PER_HOUR } from '../../../../shared/exposure/series.ts';
import type { Finding } from '../../../../shared/model/probes/finding.ts';
import { type Bins, binned, binsOf, minus } from '../bins.ts';
import { type CheckedProbe, type CheckScope, findingOf, type Stretch } from '../check-scope.ts';

const BIN_MS = 5 * 60_000;
const DAY_MS = 24 * MS_PER_HOUR;
/** Light that can heat a sensor, and light that cannot, µmol m⁻² s⁻¹. Common practice, no source. */
const LIT_PPFD = 150;
const DARK_PPFD = 20;
/** A sensor in the sun reads 2 to 4 K too high. Common practice, no source. */
const LIFT_K = 2;
const LEAST_LIT = 6;
const LEAST_DARK = 12;
/** Against the outside: air follows a leap of light within two spans by so much, K, so often a day. Common practice, no source. */
const LEAP_PPFD = 150;
const FOLLOWS_K = 3;
const LEAST_LEAPS = 3;

type Binned = { readonly probe: CheckedProbe; readonly values: Values };
type Values = readonly (number | null)[];

/**
 * Air probes that the sun shines on. Against a second air probe of the place: the difference in light lies 2 K above
 * that in the dark. Against the outside, at open places only: the air leaps with the light, three times a day, as no
 * mass of air does; under a cover it may. Without a light probe and one of these nothing is judged.
 * @param scope probes of one place over a window, without readings that are no measurement
 * @returns one finding a probe; seen: the lift, K; other: the light, µmol m⁻² s⁻¹
 * @example sunOnSensors({ ...look, probes: [] }) // []
 */
export function sunOnSensors(scope: CheckScope): Finding[] {
  const bins = binsOf(scope, BIN_MS);
  const light = lightOf(scope, bins);
  if (!light) return [];
  const of = (quantity: string) =>
    scope.probes
      .filter((probe) => probe.quantity === quantity)
      .map((probe): Binned => ({ probe, values: binned(probe.record, bins) }));
  const airs = of('air/temperature');
  const open = scope.kind === 'bench' || scope.kind === 'frame';
  const [outside] = of('outside/temperature');
  const others = (one: Binned): readonly (Binned & { readonly how: typeof liftIn })[] => {
    const twins = airs.filter((other) => other !== one).map((twin) => ({ ...twin, how: liftIn }));
    if (twins.length > 0) return twins;
    return open && outside ? [{ ...outside, how: leapsIn }] : [];
  };
  return airs.flatMap((air) => {
    const otherAir = others(air).map((other) => {
      const apart = minus(air.values, other.values);
      return daysWith({ apart, light, bins }, other.how).map((day) => ({
        ...day,
        facts: { ...day.facts, limit: LIFT_K, otherProbe: other.probe.probe },
      }));
    });
    const [most = []] = otherAir.sort((a, b) => b.length - a.length);
    return findingOf(air.probe, most, { finding: 'sun-on-sensor', fromMs: scope.fromMs, activeMs: DAY_MS });
  });
}

/** The place's light by span, µmol m⁻² s⁻¹. */
function lightOf({ probes, lxPerUmol }: CheckScope, bins: Bins): Values | null {
  const ppfd = probes.find(({ quantity }) => quantity === 'light/ppfd');
  if (ppfd) return binned(ppfd.record, bins);
  const lux = probes.find(({ quantity }) => quantity === 'light/illuminance');
  return lux ? binned(lux.record, bins).map((lx) => (lx === null ? null : lx / lxPerUmol)) : null;
}

type Day = { readonly apart: Values; readonly light: Values };
type Seen = { readonly seen: number; readonly other: number; readonly first: number; readonly last: number };

function daysWith(
  { apart, light, bins }: Day & { readonly bins: Bins },
  how: (day: Day) => Seen | null,
): Stretch[] {
  const perDay = DAY_MS / BIN_MS;
  const days: Stretch[] = [];
  // the newest day ends with the check
  for (let end = bins.count; end > 0; end -= perDay) {
    const start = Math.max(0, end - perDay);
    const found = how({ apart: apart.slice(start, end), light: light.slice(start, end) });
    if (!found) continue;
    const atMs = (i: number) => bins.startMs + (start + i) * bins.binMs;
    const facts = { seen: found.seen, other: found.other };
    days.unshift({ fromMs: atMs(found.first), toMs: atMs(found.last + 1), readings: 0, facts });
  }
  return days;
}

/** By how much light lifts the difference of two air probes. */
function liftIn({ apart, light }: Day): Seen | null {
  const where = (fits: (ppfd: number) => boolean) =>
    light.flatMap((ppfd, i) => (ppfd !== null && apart[i] !== null && fits(ppfd) ? [i] : []));
  const lit = where((ppfd) => ppfd >= LIT_PPFD);
  const dark = where((ppfd) => ppfd <= DARK_PPFD);
  if (lit.length < LEAST_LIT || dark.length < LEAST_DARK) return null;
  const darkK = medianOf(dark.map((i) => apart[i] as number)) as number;
  const lifted = lit.filter((i) => (apart[i] as number) - darkK >= LIFT_K);
  if (lifted.length < LEAST_LIT) return null;
  const seen = (medianOf(lifted.map((i) => apart[i] as number)) as number) - darkK;
  const other = medianOf(lifted.map((i) => light[i] as number)) as number;
  return { seen, other, first: lifted[0] as number, last: lifted.at(-1) as number };
}

/** How often the air leaps with the light, against the outside. */
function leapsIn({ apart, light }: Day): Seen | null {
  const leaps: { readonly at: number; readonly liftK: number; readonly ppfd: number }[] = [];
  for (let i = 1; i + 1 < light.length; i++) {
    const [before, after] = [light[i - 1] ?? null, light[i] ?? null];
    const [from, to] = [apart[i - 1] ?? null, apart[i + 1] ?? null];
    if (before === null || after === null || from === null || to === null) continue;
    if (Math.abs(after - before) < LEAP_PPFD) continue;
    const liftK = (to - from) * Math.sign(after - before);
    if (liftK >= FOLLOWS_K) leaps.push({ at: i, liftK, ppfd: Math.max(before, after) });
  }
  const [first, last] = [leaps[0], leaps.at(-1)];
  if (leaps.length < LEAST_LEAPS || !first || !last) return null;
  const seen = medianOf(leaps.map(({ liftK }) => liftK)) as number;
  return { seen, other: medianOf(leaps.map(({ ppfd }) => ppfd)) as number, first: first.at, last: last.at };
}
