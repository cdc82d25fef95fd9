import type { Exposures, TemperatureExposure } from '../../../shared/wire/http.ts';

type Numbers = Readonly<Record<string, number | null>>;

/**
 * The exposures of several spans together: hours, degree-hours and the like add up, extremes are the furthest, means are
 * weighted by covered time, days of light are joined by their date. What was assumed is stated where all agree. The
 * longest wet spell is that of one span.
 * @param parts in the order of time, at least one; spans that do not overlap
 * @returns from the start of the first to the end of the last, named by the place of the last
 */
export function addExposures(parts: readonly [Exposures, ...Exposures[]]): Exposures {
  return parts.slice(1).reduce<Exposures>(sumOf, parts[0]);
}

function sumOf(one: Exposures, two: Exposures): Exposures {
  const air = added(one.air, two.air);
  return {
    placeId: two.placeId,
    from: one.from,
    to: two.to,
    rootZone: withShape(added(one.rootZone, two.rootZone), one.rootZone, two.rootZone, 'C'),
    air: withShape(air, one.air, two.air, 'C'),
    vpd: withShape(added(one.vpd, two.vpd), one.vpd, two.vpd, 'Kpa'),
    saturation: added(one.saturation, two.saturation),
    light: lightOf(one.light, two.light),
    leafVpd: leafOf(one.leafVpd, two.leafVpd),
    daylightVpd: added(one.daylightVpd, two.daylightVpd),
    rootMinusAir: withShape(
      added(one.rootMinusAir, two.rootMinusAir),
      one.rootMinusAir,
      two.rootMinusAir,
      'K',
    ),
    condensation: {
      ...added(one.condensation, two.condensation),
      surface: one.condensation.surface === two.condensation.surface ? one.condensation.surface : null,
      minMarginK: least(one.condensation.minMarginK, two.condensation.minMarginK),
    },
    wetHours: one.wetHours.map((wet, i) => wetOf(wet, two.wetHours[i])),
    harm: one.harm && two.harm ? added(one.harm, two.harm) : null,
  };
}

/** All that is a number in both, added; extremes and means are replaced after. */
function added<T extends object>(one: T, two: T): T {
  const other = two as Readonly<Record<string, unknown>>;
  const sums = Object.entries(one).map(([name, value]) => [
    name,
    typeof value === 'number' && typeof other[name] === 'number' ? value + (other[name] as number) : value,
  ]);
  return Object.fromEntries(sums) as T;
}

type Shape = TemperatureExposure | Exposures['vpd'] | Exposures['rootMinusAir'];

function withShape<T extends Shape>(sums: T, one: T, two: T, unit: 'C' | 'Kpa' | 'K'): T {
  const [a, b] = [one as unknown as Numbers, two as unknown as Numbers];
  const of = (name: string) => [a[`${name}${unit}`] ?? null, b[`${name}${unit}`] ?? null] as const;
  return {
    ...sums,
    [`min${unit}`]: least(...of('min')),
    [`max${unit}`]: most(...of('max')),
    [`mean${unit}`]: meanOf(of('mean'), [one.coveredHours, two.coveredHours]),
  };
}

function leafOf(one: Exposures['leafVpd'], two: Exposures['leafVpd']): Exposures['leafVpd'] {
  const { offsetFrom: _, ...sums } = added(one, two);
  const byLight = one.offsetFrom === 'light' && two.offsetFrom === 'light';
  return {
    ...sums,
    maxKpa: most(one.maxKpa, two.maxKpa),
    meanKpa: meanOf([one.meanKpa, two.meanKpa], [one.coveredHours, two.coveredHours]),
    assumedOffsetK: one.assumedOffsetK === two.assumedOffsetK ? one.assumedOffsetK : null,
    ...(byLight ? { offsetFrom: 'light' as const } : {}),
  };
}

function lightOf(one: Exposures['light'], two: Exposures['light']): Exposures['light'] {
  const days = new Map(one.days.map((day) => [day.date, day]));
  for (const day of two.days) {
    const before = days.get(day.date);
    days.set(day.date, before ? added(before, day) : day);
  }
  return { coveredHours: one.coveredHours + two.coveredHours, days: [...days.values()] };
}

function wetOf(one: Exposures['wetHours'][number], two: Exposures['wetHours'][number] | undefined) {
  if (!two) return one;
  return { ...added(one, two), longestHours: Math.max(one.longestHours, two.longestHours) };
}

function least(one: number | null, two: number | null): number | null {
  if (one === null || two === null) return one ?? two;
  return Math.min(one, two);
}

function most(one: number | null, two: number | null): number | null {
  if (one === null || two === null) return one ?? two;
  return Math.max(one, two);
}

function meanOf(
  [one, two]: readonly [number | null, number | null],
  [oneHours, twoHours]: readonly [number, number],
): number | null {
  if (one === null || two === null) return one ?? two;
  return (one * oneHours + two * twoHours) / (oneHours + twoHours);
}
