/** What a receiver does at two moments of a handover, when set; a test sets it while the receiver runs. */
export type Moments = {
  /** somebody connected; with this set nothing of what he brings is read */
  onArrival: (() => void) | null;
  /** a message is received whole and noted, but not answered yet */
  onDelivery: (() => Promise<void> | void) | null;
};
