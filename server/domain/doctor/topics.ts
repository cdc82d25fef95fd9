import type { KeptTopic } from '../topics/kept.ts';
import { ageText } from './age.ts';
import { type Finding, line } from './line.ts';

/** A misspelt topic is still mentioned for so long after its last message, ms. */
const MISSPELT_FOR_MS = 24 * 3_600_000;
/** Most that are listed one by one. */
const MAX_LISTED = 5;

/** Devices that publish on a topic that nothing reads, each with the topic that was probably meant. */
export function topicLines(misspelt: readonly KeptTopic[], nowMs: number): Finding[] {
  const recent = misspelt.filter(({ lastAt }) => nowMs - Date.parse(lastAt) <= MISSPELT_FOR_MS);
  const listed = recent.slice(0, MAX_LISTED).map((one) => topicLine(one, nowMs));
  const more = recent.length - listed.length;
  return more === 0 ? listed : [...listed, line('topics', `${more} more that nothing reads`)];
}

function topicLine(
  { topic, suggestion, count, lastAt, clientId, address }: KeptTopic,
  nowMs: number,
): Finding {
  const sender = [clientId ? `client ${clientId}` : '', address ?? '']
    .filter((words) => words !== '')
    .join(', ');
  const ago = ageText(nowMs - Date.parse(lastAt));
  const times = `${count} message${count === 1 ? '' : 's'}, the last ${ago} ago`;
  const found = `nothing reads ${topic}: ${times}${sender === '' ? '' : `, from ${sender}`}`;
  return line('topics', found, `Did you mean ${suggestion}? Correct the topic in the device.`);
}
