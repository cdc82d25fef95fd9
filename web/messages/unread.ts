import type { UnreadAnswer, UnreadTopic } from '../../shared/wire/probes/foreign-messages.ts';
import { countText } from '../common/format.ts';

/** Who sent the last message of a topic, as far as the broker knows; empty where it knows nothing. */
export function senderWords({ device, clientId, address }: UnreadTopic): string {
  const who = device ?? (clientId ? `client ${clientId}` : null);
  return [who, address].filter((words) => words !== null && words !== '').join(' at ');
}

/** How many messages came on a topic. */
export function messagesWords({ count }: Pick<UnreadTopic, 'count'>): string {
  return `${countText(count)} message${count === 1 ? '' : 's'}`;
}

/** Topics that were probably meant for Strikewell, and those that resemble none of its own. */
export function sortedOut({ topics }: Pick<UnreadAnswer, 'topics'>) {
  const misspelt = topics.filter(({ suggestion }) => suggestion !== null);
  return { misspelt, others: topics.filter(({ suggestion }) => suggestion === null) };
}

/** What to say where such topics cannot be seen; null where they can. */
export function sourceWords(source: UnreadAnswer['source']): string | null {
  if (source === 'refused')
    return 'Your broker does not show other topics, so a misspelt one is not seen here.';
  if (source === 'away') return 'Your broker cannot be reached for other topics now.';
  return null;
}
