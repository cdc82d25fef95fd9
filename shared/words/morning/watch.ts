import type { Night } from '../../wire/places/night.ts';
import { clock, duration, type Reader } from '../plain.ts';
import {
  judged,
  type MorningQuestion,
  type PlaceAnswer,
  type PlaceNight,
  placesWords,
  timeWords,
  unknown,
} from './piece.ts';

/** A battery lower than this is worth a word, %. Common practice, no source. */
const LOW_BATTERY_PCT = 20;
/** More of one place are on its page. */
const MOST_NAMED = 3;

function probesTrue({ row }: PlaceNight): PlaceAnswer {
  const { assigned, reporting, faults, lookedAt, checksDue, lowestBatteryPct } = row.facts.probes;
  if (assigned === 0) return unknown('no probe is assigned to it.');
  const active = faults.filter(({ isActive }) => isActive);
  const isLow = lowestBatteryPct !== null && lowestBatteryPct < LOW_BATTERY_PCT;
  const sentences = [
    `${reporting} of ${assigned} ${assigned === 1 ? 'probe reports' : 'probes report'}.`,
    ...active.slice(0, MOST_NAMED).map(({ headline }) => headline),
    ...(active.length > MOST_NAMED ? [`And ${active.length - MOST_NAMED} more probe faults.`] : []),
    ...(checksDue.length > 0 ? [`Due for a check: ${checksDue.slice(0, MOST_NAMED).join(', ')}.`] : []),
    isLow ? `Lowest battery: ${lowestBatteryPct.toFixed(0)} %.` : '',
    lookedAt ? '' : 'Its probes were not looked at for faults yet.',
    lookedAt && active.length === 0 ? 'No probe fault was found.' : '',
    lowestBatteryPct === null ? 'Batteries are not reported.' : '',
  ];
  const isWorth = active.length > 0 || reporting < assigned || checksDue.length > 0 || isLow || !lookedAt;
  return judged(isWorth, sentences.filter((words) => words !== '').join(' '));
}

function missing(one: PlaceNight): PlaceAnswer {
  const { row, span } = one;
  if (row.coverage === 0) return judged(true, 'Nothing is on record of this night.');
  const gaps = row.excursions.filter(({ kind }) => kind === 'no-data');
  const back = row.facts.raised.filter(({ rule }) => rule === 'power-back');
  const power = back.map(({ at }) => `Power came back at ${timeWords(at, one)}.`);
  const words = gaps.slice(0, MOST_NAMED).map(({ from, to }) => {
    const fromMs = Date.parse(from);
    const toMs = to === null ? span.toMs : Date.parse(to);
    const until = to === null ? 'until now' : `to ${timeWords(to, one)}`;
    return `No readings from ${timeWords(from, one)} ${until} (${duration(toMs - fromMs)}).`;
  });
  if (gaps.length > MOST_NAMED) words.push(`And ${gaps.length - MOST_NAMED} more gaps.`);
  if (gaps.length === 0) words.push('The record of this night has no gap.');
  return judged(gaps.length > 0 || back.length > 0, [...power, ...words].join(' '));
}

function unwatched({ installation }: Pick<Night, 'installation'>, reader: Reader): PlaceAnswer | null {
  const spans = installation.unwatched.map(({ from, to }) => {
    const at = (iso: string) => clock(Date.parse(iso), reader);
    return to === null ? `since ${at(from)}` : `from ${at(from)} to ${at(to)}`;
  });
  const cut = 'Whether the power failed is seen only by such gaps, and by devices that say so.';
  if (spans.length === 0) return judged(false, `No stop of this program was noted. ${cut}`);
  return judged(true, `This program did not run ${spans.join(' and ')}. ${cut}`);
}

/** Whether what was read can be trusted, and what was not read. */
export const WATCH_QUESTIONS: readonly MorningQuestion[] = [
  {
    question: 'Are all sensors right: silent, stuck, disagreeing, wet, in sun, low battery, due for a check?',
    of: probesTrue,
    fine: (count) => `In ${placesWords(count)} all probes report, and no probe fault was found.`,
  },
  {
    question: 'Was the power or the network off, and what is missing from the record?',
    of: missing,
    fine: (count) => `The record of ${placesWords(count)} has no gap.`,
    ofAll: unwatched,
  },
];
