/**
 * Who is called about an alarm, worked out again from its whole history at each minute: slow, without anything
 * remembered, and written from the rules in words alone.
 */
export type ModelPerson = {
  readonly id: number;
  readonly reachable: boolean;
  readonly quietMin: [number, number] | null;
};
export type ModelEscalation = {
  readonly steps: readonly { readonly personId: number; readonly afterMin: number }[];
  readonly repeatMin: number;
};
/** What happened to the alarm, by whole minutes since midnight UTC. */
export type ModelEvent = {
  readonly min: number;
  readonly what: 'raised' | 'acknowledged' | 'returned' | 'asks-again';
};
export type ModelCall = { readonly min: number; readonly personId: number; readonly why: string };
export type Story = {
  readonly priority: 'high' | 'medium' | 'low';
  readonly people: readonly ModelPerson[];
  readonly ladder: ModelEscalation;
  readonly events: readonly ModelEvent[];
  readonly lastsMin: number;
};

const DAY_MIN = 1_440;

const sleeps = ({ quietMin }: ModelPerson, min: number): boolean => {
  if (quietMin === null) return false;
  const [from, to] = quietMin;
  const clock = min % DAY_MIN;
  return from < to ? clock >= from && clock < to : clock >= from || clock < to;
};

/** All calls of a story, minute by minute, people of one minute in the order of the escalation. */
export function modelCalls({ priority, people, ladder: escalation, events, lastsMin }: Story): ModelCall[] {
  const calls: ModelCall[] = [];
  if (priority === 'low') return calls;
  const steps = escalation.steps.flatMap(({ personId, afterMin }) => {
    const person = people.find(({ id }) => id === personId);
    return person?.reachable ? [{ person, afterMin }] : [];
  });
  for (let min = 0; min <= lastsMin; min++) {
    const past = events.filter((event) => event.min <= min);
    const last = past.at(-1);
    const raising = past.findLast(({ what }) => what === 'raised');
    if (!last || !raising) continue;
    const may = (person: ModelPerson) => priority === 'high' || !sleeps(person, min);
    const since = (from: number, personId: number) =>
      calls.filter((call) => call.personId === personId && call.min >= from);
    if (last.what === 'raised' || last.what === 'asks-again') {
      for (const [i, { person, afterMin }] of steps.entries()) {
        if (!may(person)) continue;
        const notified = since(last.min, person.id).filter(({ why }) => why !== 'returned');
        const newest = notified.at(-1);
        if (!newest) {
          if (i === 0 || min >= last.min + afterMin) calls.push({ min, personId: person.id, why: 'raised' });
        } else if (priority === 'high' && min >= newest.min + escalation.repeatMin)
          calls.push({ min, personId: person.id, why: 'repeated' });
      }
    }
    if (last.what === 'acknowledged') {
      const asked = past.findLast(({ what }) => what === 'raised' || what === 'asks-again');
      const from = asked?.min ?? 0;
      const called = calls.filter(
        ({ min: at, why }) => at >= from && at < last.min && (why === 'raised' || why === 'repeated'),
      );
      for (const personId of new Set(called.map((call) => call.personId))) {
        const person = people.find(({ id }) => id === personId);
        const done = since(last.min, personId).some(({ why }) => why === 'acknowledged');
        if (person && !done && may(person)) calls.push({ min, personId, why: 'acknowledged' });
      }
    }
    if (!past.some(({ what, min: at }) => what === 'returned' && at >= raising.min)) continue;
    if (last.what !== 'returned' && last.what !== 'acknowledged') continue;
    const order = [
      ...new Set(calls.filter((call) => call.min >= raising.min).map(({ personId }) => personId)),
    ];
    for (const personId of order) {
      const person = people.find(({ id }) => id === personId);
      const done = since(raising.min, personId).some(({ why }) => why === 'returned');
      if (person && !done && may(person)) calls.push({ min, personId, why: 'returned' });
    }
  }
  return calls;
}
