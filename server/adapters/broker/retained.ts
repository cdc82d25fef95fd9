/** Most messages that clients may leave with the broker to be kept, and most bytes of them: they are held in memory. */
const MOST_RETAINED = { count: 5_000, bytes: 16 * 1024 * 1024 };

/** Whether there is room to keep one more message of a client; what no longer fits is passed on and not kept. */
export function createRetainedRoom(most: { readonly count: number; readonly bytes: number } = MOST_RETAINED) {
  const held = new Map<string, number>();
  let bytes = 0;
  return {
    /** @param bytes of topic and payload; of an empty payload 0, which takes away what is kept of the topic */
    takes({ topic, bytes: more }: { readonly topic: string; readonly bytes: number }): boolean {
      const before = held.get(topic);
      const after = bytes - (before ?? 0) + more;
      const fits = held.size + (before === undefined ? 1 : 0) <= most.count && after <= most.bytes;
      if (more > 0 && !fits) return false;
      bytes = after;
      if (more > 0) held.set(topic, more);
      else held.delete(topic);
      return true;
    },
  };
}
