import type { MorningAnswer } from '../../wire/places/morning.ts';
import type { Night, NightRow } from '../../wire/places/night.ts';
import { asSentence, type Reader } from '../plain.ts';
import { CLIMATE_QUESTIONS } from './climate.ts';
import { LOT_QUESTIONS } from './lots.ts';
import { PEOPLE_QUESTIONS } from './people.ts';
import {
  type MorningQuestion,
  type PlaceAnswer,
  type PlaceNight,
  plainWords,
  type Statement,
} from './piece.ts';
import { WATCH_QUESTIONS } from './watch.ts';
import { WATER_QUESTIONS } from './water.ts';

/** The fifteen questions of a morning, in order. */
const MORNING_QUESTIONS: readonly MorningQuestion[] = [
  ...CLIMATE_QUESTIONS,
  ...WATER_QUESTIONS,
  ...WATCH_QUESTIONS,
  ...LOT_QUESTIONS,
  ...PEOPLE_QUESTIONS,
];

/** A question with its answers: sentences whose numbers can be asked. */
export type Answered = {
  readonly number: number;
  readonly question: string;
  readonly answers: readonly Statement[];
};

type NightToRead = Pick<Night, 'from' | 'to' | 'places' | 'installation'>;

/** Places are named one by one up to so many, others are counted. */
const MOST_NAMED = 3;

/** The fifteen questions answered of one place; those of the installation as a whole are left out. */
export function placeAnswers(one: PlaceNight): Answered[] {
  return MORNING_QUESTIONS.flatMap(({ question, of }, i): Answered[] => {
    if (!of) return [];
    const { verdict, said } = of(one);
    const answer: Statement = verdict === 'unknown' ? ['Not known: ', ...said] : said;
    return [{ number: i + 1, question, answers: [answer] }];
  });
}

/** The fifteen questions answered of all places: those worth a word by name, worst first, the others together. */
export function nightAnswers(night: NightToRead, reader: Reader): Answered[] {
  const span = { fromMs: Date.parse(night.from), toMs: Date.parse(night.to) };
  return MORNING_QUESTIONS.map((asked, i) => {
    const whole = asked.ofAll?.(night, reader) ?? null;
    const answers = night.places.map((row) => ({ row, answer: asked.of?.({ row, span, reader }) ?? null }));
    const known = answers.flatMap(({ row, answer }) => (answer === null ? [] : [{ row, ...answer }]));
    return {
      number: i + 1,
      question: asked.question,
      answers: [...(whole === null ? [] : [whole.said]), ...together(known, asked)],
    };
  });
}

type Known = PlaceAnswer & { readonly row: NightRow };

function together(all: readonly Known[], { fine }: MorningQuestion): Statement[] {
  const [only] = all;
  if (all.length === 1 && only)
    return [only.verdict === 'unknown' ? ['Not known: ', ...only.said] : only.said];
  const worth = all.filter(({ verdict }) => verdict === 'worth');
  const unknown = Map.groupBy(
    all.filter(({ verdict }) => verdict === 'unknown'),
    ({ said }) => plainWords(said),
  );
  const well = Map.groupBy(
    all.filter(({ verdict }) => verdict === 'fine'),
    (one) => one.together ?? fine,
  );
  const more = worth.length - MOST_NAMED;
  return [
    ...worth.slice(0, MOST_NAMED).map(({ row, said }): Statement => [`${row.name}: `, ...said]),
    ...(more > 0 ? [[`Also at ${namesOf(worth.slice(MOST_NAMED))}.`]] : []),
    ...[...unknown].map(([why, rows]): Statement => [`Not known of ${namesOf(rows)}: ${why}`]),
    ...[...well].flatMap(([words, { length }]): Statement[] => (words ? [[asSentence(words(length))]] : [])),
  ];
}

function namesOf(rows: readonly Known[]): string {
  const names = rows.slice(0, MOST_NAMED).map(({ row }) => row.name);
  const others = rows.length - names.length;
  return others > 0 ? `${names.join(', ')} and ${others} more` : names.join(', ');
}

/** Answers as programs read them. */
export function answersOnWire(answered: readonly Answered[]): MorningAnswer[] {
  return answered.map(({ number, question, answers }) => ({
    number,
    question,
    answers: answers.map((said) => ({
      sentence: plainWords(said),
      numbers: said.flatMap((piece) => {
        if (typeof piece === 'string' || !('asked' in piece)) return [];
        const { placeId, of, fromMs, toMs } = piece.asked;
        return [{ placeId, of, from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() }];
      }),
    })),
  }));
}
