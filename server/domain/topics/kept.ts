import type { UnreadTopic } from '../../../shared/wire/probes/foreign-messages.ts';

/** Name of the note in the data folder. */
export const KEPT_AS = 'misspelt-topics';
/** Longest note that is read, characters. */
const MAX_CHARACTERS = 100_000;

/** What is kept of a misspelt topic. */
export type KeptTopic = Pick<
  UnreadTopic,
  'topic' | 'suggestion' | 'count' | 'lastAt' | 'clientId' | 'address'
>;

/** Misspelt topics as a note. */
export function keptText(topics: readonly UnreadTopic[]): string {
  const kept = topics.map(
    ({ topic, suggestion, count, lastAt, clientId, address }): KeptTopic => ({
      topic,
      suggestion,
      count,
      lastAt,
      clientId,
      address,
    }),
  );
  return JSON.stringify(kept);
}

/** Misspelt topics of a note; what is no such topic is left out. */
export function readKept(text: string | null): KeptTopic[] {
  if (text === null || text.length > MAX_CHARACTERS) return [];
  try {
    const parsed: unknown = JSON.parse(text);
    return Array.isArray(parsed) ? parsed.filter(isKept) : [];
  } catch {
    return [];
  }
}

function isKept(one: unknown): one is KeptTopic {
  if (typeof one !== 'object' || one === null) return false;
  const { topic, suggestion, count, lastAt } = one as Record<string, unknown>;
  return (
    typeof topic === 'string' &&
    typeof suggestion === 'string' &&
    typeof count === 'number' &&
    typeof lastAt === 'string' &&
    Number.isFinite(Date.parse(lastAt))
  );
}
