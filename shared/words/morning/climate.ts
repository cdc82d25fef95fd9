import type { ExcursionAnswer, ExcursionKind } from '../../wire/places/night.ts';
import { BUT_BRIEFLY } from '../night.ts';
import { asSentence, difference, temperature } from '../plain.ts';
import {
  askedOf,
  hoursWords,
  judged,
  LEAST_HOURS,
  type MorningQuestion,
  type Piece,
  type PlaceAnswer,
  type PlaceNight,
  placesWords,
  timeWords,
  unknown,
  unseenWords,
} from './piece.ts';

type Side = {
  readonly kinds: readonly ExcursionKind[];
  readonly name: string;
  readonly path: string;
  readonly hours: (one: PlaceNight) => number;
};

const SIDES: readonly Side[] = [
  {
    kinds: ['air-above-band', 'air-over-ceiling'],
    name: 'air above its band',
    path: 'exposures.air.hoursAbove',
    hours: ({ row }) => row.exposures.air.hoursAbove,
  },
  {
    kinds: ['air-below-band', 'air-far-too-cold'],
    name: 'air below its band',
    path: 'exposures.air.hoursBelow',
    hours: ({ row }) => row.exposures.air.hoursBelow,
  },
  {
    kinds: ['root-zone-above-band', 'root-zone-over-ceiling'],
    name: 'root zone above its band',
    path: 'exposures.rootZone.hoursAbove',
    hours: ({ row }) => row.exposures.rootZone.hoursAbove,
  },
  {
    kinds: ['root-zone-below-band'],
    name: 'root zone below its band',
    path: 'exposures.rootZone.hoursBelow',
    hours: ({ row }) => row.exposures.rootZone.hoursBelow,
  },
  {
    kinds: ['vpd-above-band'],
    name: 'air too dry',
    path: 'exposures.vpd.hoursAbove',
    hours: ({ row }) => row.exposures.vpd.hoursAbove,
  },
];

/** From when to when, and whether it is out still. */
function timesWords(stretches: readonly ExcursionAnswer[], one: PlaceNight): string {
  const [first] = stretches;
  if (first === undefined) return '';
  const at = (iso: string) => timeWords(iso, one);
  const times = stretches.length === 1 ? '' : `, ${stretches.length} times`;
  const last = stretches.at(-1)?.to ?? null;
  const until = stretches.some(({ to }) => to === null) || last === null;
  return until
    ? `${times} from ${at(first.from)} and still out`
    : `${times} from ${at(first.from)} to ${at(last)}`;
}

function outOfBand(one: PlaceNight): PlaceAnswer {
  const { row } = one;
  if (row.coverage === 0) return unknown('nothing was read.');
  const ask = askedOf(one);
  const out = SIDES.filter((side) => side.hours(one) >= LEAST_HOURS);
  const said = out.flatMap((side, i): Piece[] => {
    const stretches = row.excursions.filter(({ kind }) => side.kinds.includes(kind));
    const name = i === 0 ? asSentence(side.name) : side.name;
    return [
      i === 0 ? '' : '; ',
      `${name} for `,
      ask(hoursWords(side.hours(one)), side.path),
      timesWords(stretches, one),
    ];
  });
  const gap = unseenWords(row.coverage * hoursLong(one), one);
  if (out.length > 0) return judged(true, ...said, '.', gap);
  const isBrief = SIDES.some((side) => side.hours(one) > 0);
  const length = isBrief ? ` ${BUT_BRIEFLY}` : '';
  const seen = gap === '' ? '' : ' while it was seen';
  const answer = judged(gap !== '', `Nothing went out of its bands${seen}${length}.`, gap);
  return isBrief ? { ...answer, together: outBriefly } : answer;
}

const outBriefly = (count: number) => `${placesWords(count)} stayed within all bands ${BUT_BRIEFLY}.`;

const hoursLong = ({ span }: PlaceNight) => (span.toMs - span.fromMs) / 3_600_000;

function hottest(one: PlaceNight): PlaceAnswer {
  const { row, reader } = one;
  const { air } = row.exposures;
  const { highestAir } = row.facts;
  if (air.maxC === null || highestAir === null) return unknown('no air temperature was read.');
  const ask = askedOf(one);
  const peak = ask(temperature(air.maxC, reader), 'exposures.air.maxC');
  const at = timeWords(highestAir.at, one);
  const gap = unseenWords(air.coveredHours, one);
  if (air.hoursOverCeiling === 0)
    return judged(false, 'Highest air ', peak, ` at ${at}, not above the ceiling.`, gap);
  const dose = ask(
    `${difference(air.degreeHoursOverCeiling, reader)} °${reader.unit}·h`,
    'exposures.air.degreeHoursOverCeiling',
  );
  const hours = ask(hoursWords(air.hoursOverCeiling), 'exposures.air.hoursOverCeiling');
  return judged(
    true,
    'Highest air ',
    peak,
    ` at ${at}; over the ceiling for `,
    hours,
    ', ',
    dose,
    ' in all.',
    gap,
  );
}

function matWords(one: PlaceNight): string {
  const { mat, matOnHours, raised } = one.row.facts;
  if (mat === false) return ' There is no mat.';
  if (matOnHours !== null) return ` The heating had power for ${hoursWords(matOnHours)}.`;
  const fell = raised.findLast(({ rule }) => rule === 'root-falling-towards-air');
  if (fell) return ` It fell towards the air at ${timeWords(fell.at, one)}: check the mat.`;
  return ' The power of the mat is not measured; the root zone raised no alarm of falling towards the air.';
}

function rootZone(one: PlaceNight): PlaceAnswer {
  const { row, reader } = one;
  const { rootZone: root } = row.exposures;
  const { lowestRootZone } = row.facts;
  if (root.minC === null || lowestRootZone === null) return unknown('no root-zone temperature was read.');
  const ask = askedOf(one);
  const lowest: Piece[] = [
    'lowest ',
    ask(temperature(root.minC, reader), 'exposures.rootZone.minC'),
    ` at ${timeWords(lowestRootZone.at, one)}`,
  ];
  const isOut = root.hoursBelow >= LEAST_HOURS || root.hoursAbove >= LEAST_HOURS;
  const failed = row.facts.raised.some(({ rule }) => rule === 'root-falling-towards-air');
  const tail = `.${matWords(one)}${unseenWords(root.coveredHours, one)}`;
  if (!isOut) {
    const isBrief = root.hoursBelow + root.hoursAbove > 0;
    const held = isBrief ? `The root zone held its band ${BUT_BRIEFLY}, ` : 'The root zone held its band, ';
    const answer = judged(failed, held, ...lowest, tail);
    return isBrief ? { ...answer, together: heldBriefly } : answer;
  }
  const side = (name: string, hours: number, path: string): Piece[] =>
    hours < LEAST_HOURS ? [] : [`${name} for `, ask(hoursWords(hours), path), ', '];
  return judged(
    true,
    'The root zone was ',
    ...side('below its band', root.hoursBelow, 'exposures.rootZone.hoursBelow'),
    ...side('above its band', root.hoursAbove, 'exposures.rootZone.hoursAbove'),
    ...lowest,
    tail,
  );
}

const heldBriefly = (count: number) =>
  `${placesWords(count)} held the root zone in its band while it was read, ${BUT_BRIEFLY}.`;

function warmBase(one: PlaceNight): PlaceAnswer {
  const { row, reader } = one;
  const { rootMinusAir: base } = row.exposures;
  if (base.meanK === null || base.minK === null) return unknown('root zone and air were not both read.');
  const ask = askedOf(one);
  const apart = (valueK: number) => `${difference(Math.abs(valueK), reader)} °${reader.unit}`;
  const gap = unseenWords(base.coveredHours, one);
  const mean = ask(apart(base.meanK), 'exposures.rootMinusAir.meanK');
  const least = ask(apart(base.minK), 'exposures.rootMinusAir.minK');
  const onAverage: Piece[] = ['The base was ', mean, ' warmer than the air on average'];
  if (base.hoursAirWarmer === 0) return judged(false, ...onAverage, ', ', least, ' at least.', gap);
  if (base.hoursAirWarmer < LEAST_HOURS && base.meanK > 0)
    return { ...judged(false, ...onAverage, `, ${BUT_BRIEFLY}.`, gap), together: warmerBriefly };
  const hours = ask(hoursWords(base.hoursAirWarmer), 'exposures.rootMinusAir.hoursAirWarmer');
  const side = base.meanK >= 0 ? 'warmer' : 'cooler';
  return judged(
    true,
    'The air was warmer than the base for ',
    hours,
    ', by up to ',
    least,
    '; on average the base was ',
    mean,
    ` ${side}.`,
    gap,
  );
}

const warmerBriefly = (count: number) =>
  `In ${placesWords(count)} the base was the warmer while both were read, ${BUT_BRIEFLY}.`;

/** What the air and the root zone did. */
export const CLIMATE_QUESTIONS: readonly MorningQuestion[] = [
  {
    question: 'Did anything go out of band, from when to when, and is it still out?',
    of: outOfBand,
    fine: (count) => `${placesWords(count)} stayed within all bands.`,
  },
  {
    question: 'What was the highest air temperature, when, and how far over the ceiling?',
    of: hottest,
    fine: (count) => `${placesWords(count)} did not go above the ceiling.`,
  },
  {
    question: 'Did the root zone hold its band all night, and is the mat working?',
    of: rootZone,
    fine: (count) => `${placesWords(count)} held the root zone in its band while it was read.`,
  },
  {
    question: 'Was the base warmer than the air all night, and by how much?',
    of: warmBase,
    fine: (count) => `In ${placesWords(count)} the base was the warmer while both were read.`,
  },
];
