import type { FilmEstimate, MistAnswer, VentsAnswer, VentView } from '../../shared/wire/http.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import { fixed, hoursText } from '../common/format.ts';
import { momentWords } from '../common/time.ts';
import type { Piece, Sentence } from './span-words.ts';

const SEEN_IN: Readonly<Record<NonNullable<MistAnswer['how']>, string>> = {
  valve: 'by the valve',
  humidity: 'in the humidity record',
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
function doubtWords(reason: string | null): string {
  return reason === null ? 'it is not known why' : (DOUBTS[reason] ?? reason);
}

const spanWords = (span: { from: string; to: string }, reader: Reader) =>
  `${momentWords({ atMs: Date.parse(span.from), ...reader })} to ${momentWords({ atMs: Date.parse(span.to), ...reader })}`;
const minutes = (count: number) => duration(count * 60_000);

const asked = (path: string, text: string): Piece => ({ path, text });

function rateWords({ pulsesPerHourInLight: light, pulsesPerHourInDark: dark }: MistAnswer): Sentence {
  const inLight: Sentence =
    light === null ? [] : [asked('pulsesPerHourInLight', `${fixed(light, 1)} an hour`), ' in light'];
  const inDark: Sentence =
    dark === null ? [] : [asked('pulsesPerHourInDark', fixed(dark, 1)), ' in the dark'];
  const between = light === null || dark === null ? '' : ', ';
  return light === null && dark === null ? [] : [': ', ...inLight, between, ...inDark];
}

const WHOSE_PATTERN = {
  stated: 'as stated for this place',
  wanted: 'as its target sheet wants',
  'from the record': 'a pattern taken from the record itself',
} as const;

function patternWords({ missed, patternMin, patternFrom }: MistAnswer): Sentence {
  if (patternMin === null) return [];
  const count: Sentence =
    missed === null
      ? ['The pattern is']
      : [asked('missed', missed === 0 ? 'None' : String(missed)), ' missed against'];
  return [
    ' ',
    ...count,
    ' a pulse every ',
    asked('patternMin', minutes(patternMin)),
    `, ${WHOSE_PATTERN[patternFrom ?? 'from the record']}.`,
  ];
}

/** The mist of a span: pulses, rates, pattern and what was missed; `null` where no pulse was seen. */
export function mistWords(mist: MistAnswer, reader: Reader): Sentence | null {
  if (mist.how === null || mist.pulses === 0) return null;
  const pulses = mist.pulses === 1 ? '1 pulse' : `${mist.pulses} pulses`;
  const seen: Sentence = [
    asked('pulses', pulses),
    ` seen ${SEEN_IN[mist.how]} over `,
    asked('coveredHours', hoursText(mist.coveredHours)),
  ];
  if (!mist.reliable) return [...seen, `, unreliable: ${doubtWords(mist.reason)}.`];
  const { longestDryGap: gap } = mist;
  const gapMs = gap === null ? 0 : Date.parse(gap.to) - Date.parse(gap.from);
  const dry: Sentence =
    gap === null
      ? []
      : [
          ' Longest dry gap in light ',
          asked('longestDryGap', duration(gapMs)),
          `, ${spanWords(gap, reader)}.`,
        ];
  return [...seen, ...rateWords(mist), '.', ...patternWords(mist), ...dry];
}

const estimate = (path: string, text: string): Piece => ({ path, text, estimated: true });

/** How long a film of mist would last at the present air: an estimate that bounds the mist interval from above. */
export function filmWords(film: FilmEstimate): Sentence {
  const { cooledMin: cooled, atAirTemperatureMin: held } = film;
  const assumed = ` Estimated for ${film.assumptions.join('; ')}.`;
  const never = estimate('film.cooledMin', 'not dry off');
  if (cooled === null && held === null)
    return ['In the present air a film would ', never, ...inLightWords(film), `.${assumed}`];
  const main: Sentence =
    cooled === null ? [never] : ['dry off in about ', estimate('film.cooledMin', minutes(cooled))];
  const other: Sentence =
    held === null
      ? []
      : [
          cooled === null ? ' (in about ' : ' (',
          estimate('film.atAirTemperatureMin', minutes(held)),
          ' with the leaf held at air temperature)',
        ];
  return [
    'In the present air a film would ',
    ...main,
    ...other,
    ...inLightWords(film),
    `; mist at least this often.${assumed}`,
  ];
}

function inLightWords({ inLight }: FilmEstimate): Sentence {
  if (inLight === null) return [];
  const path = 'film.inLight.dryingMin';
  if (inLight.dryingMin === null) return ['; in the light of now it would ', estimate(path, 'not dry off')];
  return ['; in the light of now in about ', estimate(path, minutes(inLight.dryingMin))];
}

/** Whether a place was vented in a span, and how long it has been saturated since. */
export function ventsWords(vents: VentsAnswer): Sentence {
  const saturated = asked('hoursSaturatedSinceVent', hoursText(vents.hoursSaturatedSinceVent));
  const since: Sentence =
    vents.hoursSinceVent === null
      ? ['No vent in this span; ', saturated, ' of it saturated.']
      : [
          'Last vent ',
          asked('hoursSinceVent', hoursText(vents.hoursSinceVent)),
          ' before the end of this span; saturated ',
          saturated,
          ' since.',
        ];
  if (vents.reliable) return since;
  return [...since, ` Vents are not recognised here, only logged: ${doubtWords(vents.reason)}.`];
}

function backWords({ humidityBack, from, to }: VentView): string {
  if (humidityBack === true) return 'humidity came back';
  if (humidityBack === false) return 'humidity did not come back within 2 h';
  // nobody wrote down when it was shut
  if (to === null || to === from) return '';
  return 'not known whether humidity came back';
}

/** One vent, and its place in the answer: when, how it is known, how dry it became, and whether that passed. */
export function ventWords({ vent, index }: { vent: VentView; index: number }, reader: Reader): Sentence {
  const when = momentWords({ atMs: Date.parse(vent.from), ...reader });
  const end = vent.to === null ? null : momentWords({ atMs: Date.parse(vent.to), ...reader });
  const open = vent.how === 'logged' ? `${when}, end not logged` : `${when}, still open`;
  const lowest: Sentence =
    vent.lowestPct === null
      ? []
      : [', down to ', asked(`vents.${index}.lowestPct`, `${fixed(vent.lowestPct, 0)}${NO_BREAK}%RH`)];
  // written down with one tap: a moment
  const shut = vent.to === vent.from ? when : `${when} to ${end}`;
  const facts = [backWords(vent), vent.note ? `“${vent.note}”` : ''].filter(Boolean);
  return [
    `${end === null ? open : shut}: ${vent.how}`,
    ...lowest,
    `${facts.map((fact) => `, ${fact}`).join('')}.`,
  ];
}
