import type { Escalation, Roster } from '../../../shared/model/people/people.ts';

/** How long after the one before a newcomer is called, minutes. Common practice, no source. */
const NEXT_AFTER_MIN = 10;
const LATEST_MIN = 1_440;

/** The escalation with a newcomer on its last step, so that nobody is added who is never called. */
export function withNewcomer(escalation: Escalation, personId: number): Escalation {
  const last = escalation.steps.at(-1);
  const afterMin = last ? Math.min(last.afterMin + NEXT_AFTER_MIN, LATEST_MIN) : 0;
  return { ...escalation, steps: [...escalation.steps, { personId, afterMin }] };
}

/** The escalation without somebody. */
export function withoutPerson(escalation: Escalation, personId: number): Escalation {
  return { ...escalation, steps: escalation.steps.filter((step) => step.personId !== personId) };
}

/** The first person of an escalation who is not known, or null. */
export function strangerOn(escalation: Escalation, { people }: Roster): number | null {
  const known = new Set(people.map(({ id }) => id));
  return escalation.steps.find(({ personId }) => !known.has(personId))?.personId ?? null;
}
