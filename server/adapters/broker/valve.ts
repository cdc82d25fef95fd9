import type { Limits } from '../../domain/limits/table.ts';

/** Shuts while too many messages wait for their commit: then no client is read. */
export type Valve = {
  isShut(): boolean;
  /** Calls back once it is open again. */
  wait(run: () => void): void;
  /** A message waits for its commit. @returns to be called once it has its answer */
  took(bytes: number): () => void;
};

/** Opens again when half of what may wait is committed, so that it does not flutter. */
export function createValve({
  mqttWaitingBytes,
  mqttWaitingMessages,
}: Pick<Limits, 'mqttWaitingBytes' | 'mqttWaitingMessages'>): Valve {
  let [bytes, messages, shut] = [0, 0, false];
  let waiting: (() => void)[] = [];
  const open = () => {
    shut = false;
    const runs = waiting;
    waiting = [];
    for (const run of runs) run();
  };
  return {
    isShut: () => shut,
    wait: (run) => void waiting.push(run),
    took(more) {
      bytes += more;
      messages += 1;
      shut ||= bytes > mqttWaitingBytes || messages > mqttWaitingMessages;
      return () => {
        bytes -= more;
        messages -= 1;
        if (shut && bytes <= mqttWaitingBytes / 2 && messages <= mqttWaitingMessages / 2) open();
      };
    },
  };
}
