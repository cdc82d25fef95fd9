import { topicFits } from '../../../shared/topic-filter.ts';
import type { Limits } from '../../domain/limits/table.ts';

/** With more different filters than this it is not searched whether anybody gets a topic: it would take too long. */
const MOST_SEARCHED = 500;

/** What the clients are subscribed to: bounded for each, and whether anybody would get a topic. */
export function createFilters<T extends object>(limits: Limits) {
  const byClient = new WeakMap<T, Set<string>>();
  const subscribers = new Map<string, number>();
  const drop = (filter: string) => {
    const left = (subscribers.get(filter) ?? 0) - 1;
    if (left > 0) subscribers.set(filter, left);
    else subscribers.delete(filter);
  };
  return {
    /** Notes a subscription. @returns whether there is room for it */
    add(client: T, filter: string): boolean {
      const held = byClient.get(client) ?? new Set<string>();
      if (held.has(filter)) return true;
      if (held.size >= limits.mqttSubscriptionsPerClient || !fitsTopic(filter, limits)) return false;
      byClient.set(client, held.add(filter));
      subscribers.set(filter, (subscribers.get(filter) ?? 0) + 1);
      return true;
    },
    remove(client: T, filters: readonly string[]) {
      const held = byClient.get(client);
      for (const filter of filters) if (held?.delete(filter)) drop(filter);
    },
    left(client: T) {
      for (const filter of byClient.get(client) ?? []) drop(filter);
      byClient.delete(client);
    },
    /** Whether some client is subscribed to the topic, as far as that can be known at little cost. */
    reach(topic: string): boolean {
      if (subscribers.size > MOST_SEARCHED) return true;
      for (const filter of subscribers.keys()) if (topicFits(filter, topic)) return true;
      return false;
    },
  };
}

/** Whether a topic or filter is within the limits. */
export function fitsTopic(
  topic: string,
  { mqttTopicBytes, mqttTopicLevels }: Pick<Limits, 'mqttTopicBytes' | 'mqttTopicLevels'>,
): boolean {
  return (
    Buffer.byteLength(topic) <= mqttTopicBytes &&
    topic.split('/', mqttTopicLevels + 1).length <= mqttTopicLevels
  );
}
