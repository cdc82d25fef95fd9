/** Topics of the broker itself and of the daemon. A device may be called "alarms", so ask for its topics first. */
export function isDaemonTopic(topic: string): boolean {
  return /^\$SYS\/|^strikewell\/1\/(watch\/heartbeat$|places\/[^/]+\/now$|alarms\/[^/]+$)/.test(topic);
}
