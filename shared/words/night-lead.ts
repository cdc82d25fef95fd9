import type { NightMark } from './night-row.ts';

type Marked = { readonly name: string; readonly mark: NightMark };

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
  const fine = of('fine').length;
  const others = fine === marked.length ? 'All' : 'The other';
  return {
    urgent: counted(of('unanswered'), 'needs somebody now', 'need somebody now'),
    rest: [
      ...counted(of('acknowledged'), 'is being looked after', 'are being looked after'),
      ...counted(of('not-reporting'), silent[0] ?? '', silent[1] ?? ''),
      ...counted(of('out'), 'needs watching', 'need watching'),
      ...counted(of('back'), 'was out and is back', 'were out and are back'),
    ],
    well:
      fine === 0 ? null : `${others} ${places(fine)} stayed within ${fine === 1 ? 'its' : 'their'} bands.`,
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
