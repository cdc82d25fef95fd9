import { BUT_BRIEFLY } from '../night.ts';
import { duration } from '../plain.ts';
import {
  askedOf,
  HOUR_MS,
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

/** Vents are looked for over so long before the end of the night, ms. */
export const VENTS_OVER_MS = 48 * HOUR_MS;
/** Mist is counted over so long before the end of the night, ms. */
export const MIST_OVER_MS = 24 * HOUR_MS;

/** The hours of grey mould that are shown: on leaves, where it is usually seen first. */
const GREY_MOULD = 'botrytis-geranium-leaves';

function saturated(one: PlaceNight): PlaceAnswer {
  const { row, span } = one;
  const { saturation, wetHours } = row.exposures;
  if (saturation.coveredHours === 0) return unknown('no humidity was read.');
  const ask = askedOf(one);
  const at = wetHours.findIndex(({ condition }) => condition === GREY_MOULD);
  const wet = wetHours[at];
  const mould: Piece[] =
    wet === undefined || wet.coveredHours === 0
      ? [' Wet hours in the range of grey mould are not known.']
      : [
          ' Wet hours in the range of grey mould (Botrytis on geranium leaves): ',
          ask(hoursWords(wet.hours), `exposures.wetHours.${at}.hours`),
          '.',
        ];
  const since = askedOf(one, { fromMs: span.toMs - VENTS_OVER_MS, toMs: span.toMs });
  const { vents } = row.facts;
  const sinceVent: Piece[] =
    vents.reliable && vents.hoursSaturatedSinceVent >= LEAST_HOURS
      ? [
          ', ',
          since(hoursWords(vents.hoursSaturatedSinceVent), 'vents.hoursSaturatedSinceVent'),
          vents.last === null ? ' in two days without a vent' : ' since the last vent',
        ]
      : [];
  const hours: Piece[] =
    saturation.hoursSaturated === 0
      ? ['Not saturated in the night']
      : [
          'Saturated for ',
          ask(hoursWords(saturation.hoursSaturated), 'exposures.saturation.hoursSaturated'),
          ' of the night',
        ];
  return judged(
    saturation.hoursSaturated >= LEAST_HOURS || (wet?.hours ?? 0) > 0,
    ...hours,
    ...sinceVent,
    '.',
    ...mould,
    unseenWords(saturation.coveredHours, one),
  );
}

const BACK_WORDS = (back: boolean | null) =>
  back === null
    ? 'whether humidity came back is not known'
    : back
      ? 'humidity came back'
      : 'humidity did not come back';

function vented(one: PlaceNight): PlaceAnswer {
  const { last, reliable, reason } = one.row.facts.vents;
  if (last === null && !reliable)
    return unknown(`vents cannot be recognised${reason === null ? '' : `: ${reason}`}.`);
  if (last === null)
    return { ...judged(false, 'No vent was seen in the last two days.'), together: neverVented };
  if (last.humidityBack === null)
    return { verdict: 'fine', said: [ventWords(one, last)], together: backNotKnown };
  return judged(!last.humidityBack, ventWords(one, last));
}

const neverVented = (count: number) => `In ${placesWords(count)} no vent was seen in the last two days.`;
const backNotKnown = (count: number) =>
  `In ${placesWords(count)} it is not known whether humidity came back after the last vent.`;

type Vent = NonNullable<PlaceNight['row']['facts']['vents']['last']>;

function ventWords(one: PlaceNight, last: Vent): string {
  const fromMs = Date.parse(last.from);
  const lasted =
    last.to === null
      ? ', its end was not seen'
      : ` for ${duration(Math.max(0, Date.parse(last.to) - fromMs))}`;
  const logged = last.how === 'logged' ? ' (entered by hand)' : '';
  return `Last vent at ${timeWords(last.from, one)}${lasted}${logged}; ${BACK_WORDS(last.humidityBack)}.`;
}

const rate = (perHour: number) => `${perHour.toFixed(1)} an hour`;

function misted(one: PlaceNight): PlaceAnswer {
  const { mist } = one.row.facts;
  if (!mist.reliable)
    return unknown(`mist cannot be counted on${mist.reason === null ? '' : `: ${mist.reason}`}.`);
  if (mist.coveredHours === 0) return unknown('no mist could have been seen.');
  const { span } = one;
  const ask = askedOf(one, { fromMs: span.toMs - MIST_OVER_MS, toMs: span.toMs });
  const share = (perHour: number | null, name: string, path: string): Piece[] =>
    perHour === null ? [`; ${name} not known`] : [`; ${name} `, ask(rate(perHour), path)];
  const missed: Piece[] =
    mist.missed === null
      ? ['. Whether any were missed is not known: there is no light or no pattern to judge by.']
      : ['; missed ', ask(String(mist.missed), 'mist.missed'), '.'];
  return judged(
    (mist.missed ?? 0) > 0 || (mist.inDark ?? 0) > 0,
    'Mist pulses in 24 h: ',
    ask(String(mist.pulses), 'mist.pulses'),
    ...share(mist.inLight, 'in light', 'mist.pulsesPerHourInLight'),
    ...share(mist.inDark, 'in the dark', 'mist.pulsesPerHourInDark'),
    ...missed,
  );
}

function driest(one: PlaceNight): PlaceAnswer {
  const { row } = one;
  const { vpd } = row.exposures;
  const { highestVpd, yesterday } = row.facts;
  if (vpd.maxKpa === null || highestVpd === null)
    return unknown('air temperature and humidity were not both read.');
  const ask = askedOf(one);
  const day = { fromMs: Date.parse(yesterday.from), toMs: Date.parse(yesterday.to) };
  const daylight: Piece[] =
    yesterday.daylightVpd.coveredHours === 0
      ? [' Yesterday in daylight nothing was read.']
      : [
          ' Yesterday in daylight: ',
          askedOf(one, day)(
            `${yesterday.daylightVpd.kpaHours.toFixed(1)} kPa·h`,
            'exposures.daylightVpd.kpaHours',
          ),
          ` over ${hoursWords(yesterday.daylightVpd.coveredHours)} read.`,
        ];
  const isBrief = vpd.hoursAbove > 0 && vpd.hoursAbove < LEAST_HOURS;
  const answer = judged(
    vpd.hoursAbove >= LEAST_HOURS,
    'The air pulled hardest at the leaves at ',
    timeWords(highestVpd.at, one),
    ': VPD ',
    ask(`${vpd.maxKpa.toFixed(2)} kPa`, 'exposures.vpd.maxKpa'),
    vpd.hoursAbove >= LEAST_HOURS
      ? ', above target for '
      : isBrief
        ? `, not above target ${BUT_BRIEFLY}.`
        : ', not above target.',
    ...(vpd.hoursAbove >= LEAST_HOURS
      ? [ask(hoursWords(vpd.hoursAbove), 'exposures.vpd.hoursAbove'), '.']
      : []),
    ...daylight,
    unseenWords(vpd.coveredHours, one),
  );
  return isBrief ? { ...answer, together: dryBriefly } : answer;
}

const dryBriefly = (count: number) =>
  `In ${placesWords(count)} VPD stayed at or below its target ${BUT_BRIEFLY}.`;

/** A day of which less was read is not held against its target, h. */
const LEAST_DAY_HOURS = 20;

function lit(one: PlaceNight): PlaceAnswer {
  const { row } = one;
  const { from, to, light } = row.facts.yesterday;
  if (light === null) return unknown('there is no light probe.');
  if (light.coveredHours === 0) return unknown('no light was read yesterday.');
  const ask = askedOf(one, { fromMs: Date.parse(from), toMs: Date.parse(to) });
  const { wanted } = light;
  const isWhole = light.coveredHours >= LEAST_DAY_HOURS;
  const isOff =
    isWhole && wanted !== null && (light.dliMolM2 < wanted.lowMol || light.dliMolM2 > wanted.highMol);
  const target =
    wanted === null
      ? '; its targets ask for no daily light'
      : ` of ${wanted.lowMol} to ${wanted.highMol} wanted`;
  const peak =
    light.peak === null
      ? ''
      : `; peak ${light.peak.value.toFixed(0)} µmol m⁻² s⁻¹ at ${timeWords(light.peak.at, one)}`;
  const seen = isWhole ? '.' : `. Only ${hoursWords(light.coveredHours)} of the day were read.`;
  const answer = judged(
    isOff || !isWhole,
    'Light yesterday: ',
    ask(`${light.dliMolM2.toFixed(1)} mol m⁻²`, 'exposures.light.days.0.dliMolM2'),
    `${target}${peak}${seen}`,
  );
  return wanted === null ? { ...answer, together: noLightWanted } : answer;
}

const noLightWanted = (count: number) => `In ${placesWords(count)} the targets ask for no daily light.`;

/** What the water, the vents and the light did. */
export const WATER_QUESTIONS: readonly MorningQuestion[] = [
  {
    question: 'How long has it been saturated without a vent, and how long wet in the range of grey mould?',
    of: saturated,
    fine: (count) =>
      `${placesWords(count)} ${count === 1 ? 'was' : 'were'} not saturated, and not wet in the range of grey mould while read.`,
  },
  {
    question: 'When was the cover last vented, for how long, and did humidity come back?',
    of: vented,
    fine: (count) => `In ${placesWords(count)} humidity came back after the last vent.`,
  },
  {
    question: 'Did mist fire in the light hours, were any pulses missed, and did any come at night?',
    of: misted,
    fine: (count) => `In ${placesWords(count)} no pulse was missed, and none came in the dark.`,
  },
  {
    question: 'How dry did it get?',
    of: driest,
    fine: (count) => `In ${placesWords(count)} VPD did not rise above its target.`,
  },
  {
    question: 'How much light was there yesterday, against the target of this stage?',
    of: lit,
    fine: (count) =>
      `In ${placesWords(count)} light was within what ${count === 1 ? 'its' : 'their'} targets ask for.`,
  },
];
