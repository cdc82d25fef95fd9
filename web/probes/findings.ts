import type { Finding } from '../../shared/model/probes/finding.ts';
import type { FindingView } from '../../shared/wire/probes/finding.ts';

/** A finding with its times in ms, as its words are made from it. */
export function findingOf({ since, until, spans, ...view }: FindingView): Finding {
  return {
    ...view,
    sinceMs: Date.parse(since),
    untilMs: until === null ? null : Date.parse(until),
    spans: spans.map(({ from, to }) => ({ fromMs: Date.parse(from), toMs: Date.parse(to) })),
  };
}

/** What is active first, then the newest. */
export function activeFirst(views: readonly FindingView[]): FindingView[] {
  return views.toSorted((a, b) => {
    if ((a.until === null) !== (b.until === null)) return a.until === null ? -1 : 1;
    return Date.parse(b.until ?? b.since) - Date.parse(a.until ?? a.since);
  });
}

/** One line that says how many probes are suspect. */
export function suspectLine(views: readonly FindingView[]): string {
  const probes = new Set(views.filter(({ until }) => until === null).map(({ probe }) => probe));
  if (probes.size === 0) {
    return views.length === 0
      ? 'No probe faults in the last three days.'
      : 'No probe faults now; there were some in the last three days.';
  }
  return probes.size === 1 ? 'One probe is suspect now.' : `${probes.size} probes are suspect now.`;
}
