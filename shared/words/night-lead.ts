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

function counted(marked: readonly Marked[], one: string, several: string): string[] {
  if (marked.length === 0) return [];
  return [`${places(marked.length)} ${marked.length === 1 ? one : several}: ${named(marked)}.`];
}

/**
 * The night in one line: who needs somebody, who does not report, who is back, and how many did well.
 * @param marked every place of the night, worst first
 */
export function leadWords(marked: readonly Marked[], isToday: boolean) {
  const of = (...marks: readonly NightMark[]) => marked.filter(({ mark }) => marks.includes(mark));
  const [urgent] = counted(of('unanswered'), 'needs somebody now', 'need somebody now');
  const silent = isToday
    ? ['is not reporting', 'are not reporting']
    : ['was not seen to the end', 'were not seen to the end'];
  const fine = of('fine').length;
  const others = fine === marked.length ? 'All' : 'The other';
  const well =
    fine === 0 ? [] : [`${others} ${places(fine)} stayed within ${fine === 1 ? 'its' : 'their'} bands.`];
  const rest = [
    ...counted(of('acknowledged'), 'is being looked after', 'are being looked after'),
    ...counted(of('not-reporting'), silent[0] ?? '', silent[1] ?? ''),
    ...counted(of('out'), 'needs watching', 'need watching'),
    ...counted(of('back'), 'was out and is back', 'were out and are back'),
    ...well,
  ];
  return { urgent: urgent ?? null, rest: rest.join(' ') };
}
