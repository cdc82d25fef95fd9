import type { LotFacts, PairFacts } from '../../wire/places/morning.ts';
import type { Night } from '../../wire/places/night.ts';
import { difference, type Reader } from '../plain.ts';
import {
  judged,
  type MorningQuestion,
  type Piece,
  type PlaceAnswer,
  type PlaceNight,
  placesWords,
  unknown,
} from './piece.ts';

const DAY_MS = 86_400_000;

/** What to look for where the next stage is due. */
const CHECK_FOR: Readonly<Record<LotFacts['stage'], string>> = {
  sticking: 'stick them',
  callusing: 'look for callus',
  rooting: 'look for roots',
  toning: 'do the tug test',
};

/** A day of the year, as people say it: `12 Dec`. */
function dayWords(iso: string, { timeZone }: Reader): string {
  return new Intl.DateTimeFormat('en-GB', { timeZone, day: 'numeric', month: 'short' }).format(
    Date.parse(iso),
  );
}

/** Local calendar days since a time: 0 on the day itself. */
function daysSince(iso: string, { timeZone, nowMs }: Reader): number {
  const midnight = (atMs: number) =>
    Date.parse(new Intl.DateTimeFormat('en-CA', { timeZone }).format(atMs).slice(0, 10));
  return Math.round((midnight(nowMs) - midnight(Date.parse(iso))) / DAY_MS);
}

function dueWords({ due }: LotFacts, reader: Reader): string {
  if (due === null) return '';
  const [from, to] = [dayWords(due.from, reader), dayWords(due.to, reader)];
  if (due.state === 'ahead') return `, ${due.stage} expected from ${from}`;
  if (due.state === 'due') return `, ${due.stage} due by ${to}: ${CHECK_FOR[due.stage]}`;
  return `, ${due.stage} was expected by ${to}: ${CHECK_FOR[due.stage]}`;
}

const named = ({ name, batchId }: Pick<LotFacts, 'name' | 'batchId'>): Piece => ({ text: name, batchId });

function joined(parts: readonly (readonly Piece[])[]): Piece[] {
  return parts.flatMap((part, i) => [i === 0 ? '' : ' ', ...part]);
}

function stages({ row, reader }: PlaceNight): PlaceAnswer {
  const { lots } = row.facts;
  if (lots.length === 0) return unknown('no batch is entered.');
  const isDue = lots.some(({ due }) => due !== null && due.state !== 'ahead');
  const said = lots.map((lot): Piece[] => [
    named(lot),
    `: ${lot.stage} for ${daysSince(lot.stageFrom, reader)} d, ${daysSince(lot.stuckAt, reader)} d since sticking${dueWords(lot, reader)}.`,
  ]);
  return judged(isDue, ...joined(said));
}

const NOT_EXPECTED: Readonly<Record<string, string>> = {
  'half-rooted': 'half have roots',
  'no-limits': 'no date is expected: no limits are published for this crop',
  'too-few-batches': 'no date is expected yet: too few of your own batches were counted',
  'too-little-recorded': 'no date is expected: too little of the last days is on record',
  past: 'the day half are expected to have roots is shown for today only',
  'no-progress': 'no date is expected: the root zone was too cool, or too hot, for any progress',
};

/** Whether half are expected to have roots before or after the days of the sheet. */
function paceWords({ expected, due, stage }: LotFacts): string {
  if (expected === null || due === null || stage !== 'rooting') return '';
  if (Date.parse(expected.at) < Date.parse(due.from)) return ', ahead of its sheet';
  return Date.parse(expected.at) > Date.parse(due.to) ? ', behind its sheet' : ', as its sheet expects';
}

function expectedWords(lot: LotFacts, reader: Reader): string {
  const { expected, expectedReason } = lot;
  if (expected === null) return NOT_EXPECTED[expectedReason ?? ''] ?? 'no date is expected';
  const latest = expected.latest === null ? 'no end in sight' : dayWords(expected.latest, reader);
  return `half expected to have roots about ${dayWords(expected.at, reader)} (${dayWords(expected.earliest, reader)} to ${latest})${paceWords(lot)}`;
}

function thermalTime({ row, reader }: PlaceNight): PlaceAnswer {
  const { lots } = row.facts;
  if (lots.length === 0) return unknown('no batch is entered.');
  if (lots.every(({ degreeHours }) => degreeHours === null))
    return unknown('no base, optimum and stop temperatures are published for its crops.');
  const said = lots.map((lot): Piece[] => {
    if (lot.degreeHours === null) return [named(lot), ': no temperatures are published for its crop.'];
    const sum = `${difference(lot.degreeHours, reader)} °${reader.unit}·h`;
    return [
      named(lot),
      ': ',
      { text: sum, batchId: lot.batchId },
      ` of thermal time; ${expectedWords(lot, reader)}.`,
    ];
  });
  return judged(
    lots.some((lot) => paceWords(lot).includes('behind')),
    ...joined(said),
  );
}

const points = (share: number) => `${(100 * Math.abs(share)).toFixed(0)} percentage points`;

function strikeWords({ first, second, strike }: PairFacts): Piece[] {
  if (strike === null)
    return [named(first), ' and ', named(second), ': strike cannot be compared, one was not counted.'];
  if (strike.better === null)
    return [
      named(first),
      ' and ',
      named(second),
      `: the counts do not tell their strike apart (${points(strike.difference)}).`,
    ];
  const [better, other] = strike.better === 'first' ? [first, second] : [second, first];
  return [
    named(better),
    ` struck ${points(strike.difference)} better than `,
    named(other),
    ', more than the counts leave open.',
  ];
}

const MEAN_NAMES = { airTemperatureC: 'air', rootZoneTemperatureC: 'root zone' } as const;

function meanWords({ first, means }: PairFacts, reader: Reader): string {
  const apart = means.map(({ of, differenceK, sensorErrorK }) => {
    const size = `${difference(Math.abs(differenceK), reader)} °${reader.unit}`;
    const side = differenceK >= 0 ? 'warmer' : 'cooler';
    return Math.abs(differenceK) > sensorErrorK
      ? `the ${MEAN_NAMES[of]} of ${first.name} was ${size} ${side}, more than the sensors may be off by`
      : `the ${MEAN_NAMES[of]} differed by ${size}, no more than the sensors may be off by`;
  });
  return apart.length === 0 ? ' Their climate cannot be compared.' : ` On average ${apart.join('; ')}.`;
}

const MOST_PAIRS = 4;

function compared({ installation }: Pick<Night, 'installation'>, reader: Reader): PlaceAnswer {
  const { pairs } = installation;
  if (pairs === null) return unknown('Batches are compared as they are now: open the page Batches.');
  if (pairs.length === 0) return unknown('There are no two open batches of one crop to compare.');
  const said = pairs
    .slice(0, MOST_PAIRS)
    .map((pair): Piece[] => [...strikeWords(pair), meanWords(pair, reader)]);
  const more = pairs.length > MOST_PAIRS ? [` And ${pairs.length - MOST_PAIRS} more pairs.`] : [];
  return judged(
    pairs.some(({ strike }) => strike?.better != null),
    ...joined(said),
    ...more,
  );
}

/** The batches: where each is, and which does better. */
export const LOT_QUESTIONS: readonly MorningQuestion[] = [
  {
    question: 'What stage is each batch in, for how many days, and what is due?',
    of: stages,
    fine: (count) => `In ${placesWords(count)} no stage is due.`,
  },
  {
    question: 'How much thermal time has each batch had, and is it ahead or behind?',
    of: thermalTime,
    fine: (count) => `In ${placesWords(count)} no batch is known to be behind.`,
  },
  { question: 'Which batch of a crop does better, and is the difference real?', ofAll: compared },
];
