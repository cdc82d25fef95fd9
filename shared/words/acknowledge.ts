/** What is said around an acknowledgement: before it, on its way, and when it did not get through. */
export const ACKNOWLEDGE_WORDS = {
  button: 'Acknowledge',
  means: 'Tells the others you have seen it and are dealing with it.',
  pending: 'Acknowledging…',
  slow: 'Still sending. It is not acknowledged yet.',
  unknown: 'No answer yet, so it may not be acknowledged. Try again.',
} as const;

/** That an acknowledgement did not get through, and why; the reason is a sentence. */
export function notAcknowledgedWords(why: string): string {
  const reason = why.replace(/^[A-Z](?=[a-z ])/, (first) => first.toLowerCase());
  return `Not acknowledged: ${reason} Try again.`;
}
