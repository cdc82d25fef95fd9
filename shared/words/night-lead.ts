import { BUT_BRIEFLY, type Held } from './night.ts';
import type { NightMark } from './night-row.ts';

type Marked = { readonly name: string; readonly mark: NightMark; readonly held: Held };

/** Names are given of so many, others are counted. */
const MOST_NAMED = 4;

const places = (count: number) => (count === 1 ? '1 place' : `${count} places`);

function named(marked: readonly Marked[]): string {
  const names = marked.slice(0, MOST_NAMED).map(({ name }) => name);
  const others = marked.length - names.length;
  return others > 0 ? `${names.join(', ')} and ${others} more` : names.join(', ');
}

/** One thing that is said of some places: "2 places need somebody now", and which. */
type LeadPart = { readonly says: string; readonly of: readonly Marked[] };

function counted(marked: readonly Marked[], one: string, several: string): LeadPart[] {
  if (marked.length === 0) return [];
  return [{ says: `${places(marked.length)} ${marked.length === 1 ? one : several}`, of: marked }];
}

type Noun = { readonly their: string; readonly they: string };

/** What is said of places that need no attention, best first; nothing is called within its bands that was not. */
const HELD_WORDS: readonly (readonly [Held, (noun: Noun) => string])[] = [
  ['throughout', ({ their }) => ` stayed within ${their} bands`],
  ['while-read', ({ their }) => ` stayed within ${their} bands while there were readings`],
  ['nearly', ({ their }) => ` stayed within ${their} bands ${BUT_BRIEFLY}`],
  ['left', () => ' went beyond a limit, with too little harm to need watching'],
  ['unknown', ({ they }) => `: how ${they} did in the night is not known`],
];

function wellWords(fine: readonly Marked[], all: number): string | null {
  const [only] = fine;
  if (only === undefined) return null;
  const kinds = HELD_WORDS.map(([held, words]) => ({ words, of: fine.filter((one) => one.held === held) }));
  const some = kinds.filter(({ of }) => of.length > 0);
  const noun = (count: number): Noun =>
    count === 1 ? { their: 'its', they: 'it' } : { their: 'their', they: 'they' };
  const who = (count: number) => {
    if (some.length > 1) return places(count);
    if (all === 1) return only.name;
    return `${fine.length === all ? 'All' : 'The other'} ${places(count)}`;
  };
  return some.map(({ words, of }) => `${who(of.length)}${words(noun(of.length))}.`).join(' ');
}

/**
 * The night in parts, worst first: who needs somebody, who does not report, who is back, and how many did well, of whom
 * none is named.
 * @param marked every place of the night, worst first
 */
export function leadParts<T extends Marked>(marked: readonly T[], isToday: boolean) {
  const of = (...marks: readonly NightMark[]) => marked.filter(({ mark }) => marks.includes(mark));
  const silent = isToday
    ? ['is not reporting', 'are not reporting']
    : ['was not seen to the end', 'were not seen to the end'];
  return {
    urgent: counted(of('unanswered'), 'needs somebody now', 'need somebody now'),
    rest: [
      ...counted(of('acknowledged'), 'is being looked after', 'are being looked after'),
      ...counted(of('not-reporting'), silent[0] ?? '', silent[1] ?? ''),
      ...counted(of('out'), 'needs watching', 'need watching'),
      ...counted(of('back'), 'was out and is back', 'were out and are back'),
    ],
    well: wellWords(of('fine'), marked.length),
  };
}

const sentence = ({ says, of }: LeadPart) => `${says}: ${named(of)}.`;

/**
 * The night in one line.
 * @param marked every place of the night, worst first
 */
export function leadWords(marked: readonly Marked[], isToday: boolean) {
  const { urgent, rest, well } = leadParts(marked, isToday);
  const said = [...rest.map(sentence), well].filter((text) => text !== null);
  return { urgent: urgent[0] ? sentence(urgent[0]) : null, rest: said.join(' ') };
}
