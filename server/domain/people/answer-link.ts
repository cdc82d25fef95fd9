import { type AnswerLink, answerLinkSchema } from '../../../shared/model/people/people.ts';

/** How long a link works. Proposal of the project: past a night's sleep, not into the next night. */
export const LINK_LASTS_MS = 12 * 3_600_000;

/** What a link says as a text to be signed. */
export function linkText({ id, alarmId, raisedMs, personId, expiresMs }: AnswerLink): string {
  return JSON.stringify([id, alarmId, raisedMs, personId, expiresMs]);
}

/** The link of a signed text, or null when it is none. @param text null when the signature did not fit */
export function linkOf(text: string | null): AnswerLink | null {
  if (text === null) return null;
  const [id, alarmId, raisedMs, personId, expiresMs] = JSON.parse(text) as unknown[];
  return answerLinkSchema.safeParse({ id, alarmId, raisedMs, personId, expiresMs }).data ?? null;
}
