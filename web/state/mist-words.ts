import type { FilmEstimate, MistAnswer, VentsAnswer, VentView } from '../../shared/wire/http.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import { fixed, hoursText } from './format.ts';
import type { Sentence } from './span-words.ts';
import { momentWords } from './time.ts';

const SEEN_IN: Readonly<Record<NonNullable<MistAnswer['how']>, string>> = {
  valve: 'by the valve',
  humidity: 'in the teeth of the humidity record',
  wetness: 'in the leaf-wetness record',
};
const DOUBTS: Readonly<Record<string, string>> = {
  'nothing recorded': 'nothing is on record that would show them',
  'humidity counted in too coarse steps': 'the humidity probe counts in steps too coarse to show a pulse',
  'pattern not known': 'there are too few of them to make a pattern',
  'pulses not regular': 'they come too irregularly to be mist by a timer',
  'readings too far apart for the pattern': 'the readings lie too far apart to show each pulse',
  'readings too far apart': 'the readings lie too far apart to tell an opened cover from a dry half hour',
};
const NO_BREAK = '\u00a0';

/** Why something recognised is not to be counted on, in words. */
export function doubtWords(reason: string | null): string {
  return reason === null ? 'it is not known why' : (DOUBTS[reason] ?? reason);
}

const spanWords = (span: { from: string; to: string }, reader: Reader) =>
  `${momentWords({ atMs: Date.parse(span.from), ...reader })} to ${momentWords({ atMs: Date.parse(span.to), ...reader })}`;
const minutes = (count: number) => duration(count * 60_000);

function rateWords({ pulsesPerHourInLight: light, pulsesPerHourInDark: dark }: MistAnswer): string {
  const rates = [
    light === null ? null : `${fixed(light, 1)} an hour in light`,
    dark === null ? null : `${fixed(dark, 1)} in the dark`,
  ].filter((rate) => rate !== null);
  return rates.length === 0 ? '' : `: ${rates.join(', ')}`;
}

function patternWords({ missed, patternMin, patternFrom }: MistAnswer): string {
  if (patternMin === null) return '';
  const whose =
    patternFrom === 'stated' ? 'as stated for this place' : 'a pattern taken from the record itself';
  const count = missed === null ? 'The pattern is' : `${missed === 0 ? 'None' : missed} missed against`;
  return ` ${count} a pulse every ${minutes(patternMin)}, ${whose}.`;
}

/** The mist of a span: pulses, rates, pattern and what was missed; `null` where no pulse was seen. */
export function mistWords(mist: MistAnswer, reader: Reader): Sentence | null {
  if (mist.how === null || mist.pulses === 0) return null;
  const pulses = mist.pulses === 1 ? '1 pulse' : `${mist.pulses} pulses`;
  const seen = `${pulses} seen ${SEEN_IN[mist.how]} over ${hoursText(mist.coveredHours)}`;
  if (!mist.reliable) return [`${seen}, not to be counted on: ${doubtWords(mist.reason)}.`];
  const { longestDryGap: gap } = mist;
  const gapMs = gap === null ? 0 : Date.parse(gap.to) - Date.parse(gap.from);
  const dry = gap === null ? '' : ` Longest dry gap in light ${duration(gapMs)}, ${spanWords(gap, reader)}.`;
  return [`${seen}${rateWords(mist)}.${patternWords(mist)}${dry}`];
}

const driesIn = (minutesLong: number | null) => (minutesLong === null ? null : minutes(minutesLong));

/** How long a film of mist would last at the present air: an estimate that bounds the mist interval from above. */
export function filmWords(film: FilmEstimate): Sentence {
  const cooled = driesIn(film.cooledMin);
  const held = driesIn(film.atAirTemperatureMin);
  const assumed = ` Estimated for ${film.assumptions.join('; ')}.`;
  if (cooled === null && held === null) {
    return ['In the present air ', { text: 'a film would not dry off', estimated: true }, `.${assumed}`];
  }
  const main = cooled === null ? 'a film would not dry off' : `a film would dry off in about ${cooled}`;
  const other =
    held === null
      ? ''
      : ` (${cooled === null ? 'in about ' : ''}${held} with the leaf held at air temperature)`;
  return [
    'In the present air ',
    { text: `${main}${other}`, estimated: true },
    `, which bounds the mist interval from above.${assumed}`,
  ];
}

/** Whether a place was vented in a span, and how long it has been saturated since. */
export function ventsWords(vents: VentsAnswer): Sentence {
  const saturated = hoursText(vents.hoursSaturatedSinceVent);
  const since =
    vents.hoursSinceVent === null
      ? `No vent in this span; ${saturated} of it saturated.`
      : `Last vent ${hoursText(vents.hoursSinceVent)} before the end of this span; saturated ${saturated} since.`;
  if (vents.reliable) return [since];
  return [`${since} Vents are not recognised here, only logged: ${doubtWords(vents.reason)}.`];
}

function backWords({ humidityBack, to }: VentView): string {
  if (humidityBack === true) return 'humidity came back';
  if (humidityBack === false) return 'humidity did not come back within 2 h';
  return to === null ? '' : 'not known whether humidity came back';
}

/** One vent: when, how it is known, how dry it became, and whether that passed. */
export function ventWords(vent: VentView, reader: Reader): string {
  const when = momentWords({ atMs: Date.parse(vent.from), ...reader });
  const end = vent.to === null ? null : momentWords({ atMs: Date.parse(vent.to), ...reader });
  const lowest = vent.lowestPct === null ? '' : `down to ${fixed(vent.lowestPct, 0)}${NO_BREAK}%RH`;
  const open = vent.how === 'logged' ? `${when}, end not logged` : `${when}, still open`;
  const facts = [vent.how, lowest, backWords(vent), vent.note ? `“${vent.note}”` : ''];
  return `${end === null ? open : `${when} to ${end}`}: ${facts.filter(Boolean).join(', ')}.`;
}
