import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type AlarmRecord,
  type AlarmStep,
  newAlarm,
  withAcknowledgement,
  withCondition,
  withReAlarm,
} from '../../../../../server/domain/alarms/record.ts';
import {
  belongsOnMorningSheet,
  callsNow,
  NOT_CALLED,
} from '../../../../../server/domain/people/escalation.ts';
import { morningSheetDayDue, quietUntilMs } from '../../../../../server/domain/people/quiet.ts';
import type { Roster } from '../../../../../shared/model/people/people.ts';
import type { AlarmFacts } from '../../../../../shared/rules/facts.ts';
import { type ModelCall, type ModelEvent, modelCalls, type Story } from '../../support/escalation-model.ts';

const MINUTE_MS = 60_000;
const MIDNIGHT_MS = Date.UTC(2026, 5, 1);
const clockOf = (min: number) =>
  `${String(Math.floor(min / 60)).padStart(2, '0')}:${String(min % 60).padStart(2, '0')}`;

const personOf = (id: number) =>
  fc.record({
    id: fc.constant(id),
    reachable: fc.constantFrom(true, true, true, false),
    quietMin: fc.constantFrom<[number, number] | null>(null, [0, 20], [1_430, 15], [30, 90]),
  });
const minutes = fc.constantFrom(0, 1, 5, 10, 30);
const story: fc.Arbitrary<Story> = fc
  .record({
    priority: fc.constantFrom('high', 'medium', 'low'),
    people: fc.tuple(personOf(1), personOf(2), personOf(3)),
    order: fc.shuffledSubarray([1, 2, 3]),
    waits: fc.array(minutes, { minLength: 3, maxLength: 3 }),
    repeatMin: fc.constantFrom(1, 5, 15),
    moves: fc.array(fc.record({ afterMin: fc.constantFrom(1, 2, 6, 15, 40), pick: fc.constantFrom(0, 1) }), {
      maxLength: 8,
    }),
  })
  .map(({ priority, people, order, waits, repeatMin, moves }) => {
    let at = 0;
    const steps = order.map((personId, i) => {
      at += waits[i] ?? 0;
      return { personId, afterMin: at };
    });
    return {
      priority,
      people,
      ladder: { steps, repeatMin },
      events: eventsOf(moves),
      lastsMin: 200,
    } as Story;
  });

/** What may happen to an alarm after what happened last; an acknowledged one returns, or asks again after an hour. */
function eventsOf(moves: readonly { afterMin: number; pick: 0 | 1 }[]): ModelEvent[] {
  let min = 0;
  let deviation = false;
  let last: ModelEvent['what'] = 'returned';
  return moves.map(({ afterMin, pick }) => {
    min += afterMin;
    if (!deviation) {
      last = 'raised';
      deviation = true;
    } else if (last !== 'acknowledged' && pick === 0) last = 'acknowledged';
    else if (last === 'acknowledged' && pick === 0) {
      last = 'asks-again';
      min += 60;
    } else {
      last = 'returned';
      deviation = false;
    }
    return { min, what: last };
  });
}

function rosterOf({ people, ladder: escalation }: Story): Roster {
  return {
    people: people.map(({ id, reachable, quietMin }) => ({
      id,
      name: `person ${id}`,
      quiet: quietMin && { from: clockOf(quietMin[0]), to: clockOf(quietMin[1]) },
      ways: reachable ? [{ id: id * 10, kind: 'mail', address: 'someone@bench.example' } as const] : [],
    })),
    ladder: { ...escalation, steps: [...escalation.steps], morningAt: '07:00' },
  };
}

/** How far a root zone is too hot, °C: an alarm of medium priority asks again only where that became worse. */
function tooHot(worst: number): AlarmFacts {
  const times = { sinceMs: MIDNIGHT_MS, atMs: MIDNIGHT_MS };
  return { kind: 'past-limit', value: worst, limit: 30, worst, ...times, slopePerMin: null };
}

/** The alarm after something happened to it, by the functions the daemon uses. */
function happened(record: AlarmRecord, { what }: ModelEvent, atMs: number): AlarmRecord {
  const step = (): AlarmStep => {
    if (what === 'raised') return withCondition({ ...record, facts: tooHot(31) }, { isMet: true, atMs });
    if (what === 'returned') return withCondition(record, { isMet: false, atMs });
    if (what === 'acknowledged') return withAcknowledgement(record, { atMs });
    const worst = record.facts?.kind === 'past-limit' ? record.facts.worst : 31;
    return withReAlarm({ ...record, facts: tooHot(worst + 1) }, { nowMs: atMs });
  };
  return step().record;
}

/** The calls the core puts out, looked at only when it asks for it; what it remembers is written down and read back. */
function calledBy(played: Story, { restarts }: { restarts: boolean }): ModelCall[] {
  const roster = rosterOf(played);
  let record: AlarmRecord = {
    ...newAlarm({ placeId: 'b', rule: 'root-too-hot' }),
    priority: played.priority,
  };
  let calling = NOT_CALLED;
  let checkAgainMs: number | null = null;
  const calls: ModelCall[] = [];
  const ask = (nowMs: number) => {
    const now = callsNow(calling, { record, roster, nowMs, zone: 'UTC' });
    ({ calling, checkAgainMs } = restarts ? (JSON.parse(JSON.stringify(now)) as typeof now) : now);
    for (const { personId, why } of now.calls)
      calls.push({ min: (nowMs - MIDNIGHT_MS) / MINUTE_MS, personId, why });
  };
  for (let min = 0; min <= played.lastsMin; min++) {
    const nowMs = MIDNIGHT_MS + min * MINUTE_MS;
    for (const event of played.events.filter((one) => one.min === min)) {
      record = happened(record, event, nowMs);
      ask(nowMs);
    }
    if (checkAgainMs !== null && checkAgainMs <= nowMs) ask(nowMs);
  }
  return calls;
}

const sorted = (calls: readonly ModelCall[]) =>
  calls.toSorted((a, b) => a.min - b.min || a.personId - b.personId || a.why.localeCompare(b.why));

describe('the escalation', () => {
  test('in 2,000 stories calls whom the model calls, in the same minute, written down and read back at every step or not', () => {
    const seen = new Map<string, number>();
    fc.assert(
      fc.property(story, (played) => {
        const expected = sorted(modelCalls(played));
        expect(sorted(calledBy(played, { restarts: false }))).toEqual(expected);
        expect(sorted(calledBy(played, { restarts: true }))).toEqual(expected);
        for (const { why } of expected) seen.set(why, (seen.get(why) ?? 0) + 1);
      }),
      { numRuns: 2_000 },
    );
    // stories in which nobody is called would prove nothing
    for (const why of ['raised', 'repeated', 'acknowledged', 'returned'])
      expect(seen.get(why) ?? 0).toBeGreaterThan(500);
  });

  const night: Story = {
    priority: 'high',
    people: [
      { id: 1, reachable: true, quietMin: [0, 60] },
      { id: 2, reachable: true, quietMin: null },
    ],
    ladder: {
      steps: [
        { personId: 1, afterMin: 0 },
        { personId: 2, afterMin: 10 },
      ],
      repeatMin: 5,
    },
    events: [
      { min: 2, what: 'raised' },
      { min: 13, what: 'acknowledged' },
      { min: 30, what: 'returned' },
    ],
    lastsMin: 90,
  };
  const words = (calls: readonly ModelCall[]) =>
    calls.map(({ min, personId, why }) => `${min} ${personId} ${why}`);

  test('high at 00:02, acknowledged at 00:13, wakes the first at 2, 7 and 12 min, the second at 12, and notifies both that it was acknowledged, and of the return', () => {
    expect(words(calledBy(night, { restarts: true }))).toEqual([
      '2 1 raised',
      '7 1 repeated',
      '12 1 repeated',
      '12 2 raised',
      '13 1 acknowledged',
      '13 2 acknowledged',
      '30 1 returned',
      '30 2 returned',
    ]);
  });

  test('medium leaves the first asleep until 01:00, and notifies only who was called of the return', () => {
    expect(words(calledBy({ ...night, priority: 'medium' }, { restarts: true }))).toEqual([
      '12 2 raised',
      '13 2 acknowledged',
      '30 2 returned',
    ]);
    const deviation = { ...night, priority: 'medium', events: night.events.slice(0, 1) } as const;
    expect(words(calledBy(deviation, { restarts: true }))).toEqual(['12 2 raised', '60 1 raised']);
  });

  test('acknowledged by the second, only the first is notified, once; acknowledged again after it asked again, once more', () => {
    const roster = rosterOf(night);
    let record = withCondition(
      { ...newAlarm({ placeId: 'b', rule: 'root-too-hot' }) },
      {
        isMet: true,
        atMs: MIDNIGHT_MS,
      },
    ).record;
    let calling = NOT_CALLED;
    const played: string[] = [];
    const ask = (min: number) => {
      const nowMs = MIDNIGHT_MS + min * MINUTE_MS;
      const now = callsNow(calling, { record, roster, nowMs, zone: 'UTC' });
      calling = now.calling;
      for (const { personId, why } of now.calls) played.push(`${min} ${personId} ${why}`);
    };
    for (const min of [0, 5, 10]) ask(min);
    record = withAcknowledgement(record, { atMs: MIDNIGHT_MS, by: 'Person 2 ' }).record;
    for (const min of [11, 12]) ask(min);
    expect(played.slice(-2)).toEqual(['10 2 raised', '11 1 acknowledged']);
    record = withReAlarm(record, { nowMs: MIDNIGHT_MS + 60 * MINUTE_MS }).record;
    ask(60);
    record = withAcknowledgement(record, { atMs: MIDNIGHT_MS, by: null }).record;
    ask(61);
    expect(played.slice(-2)).toEqual(['60 1 raised', '61 1 acknowledged']);
  });

  test('low calls nobody, and is on the next sheet once; acknowledged before, it is not', () => {
    const low = withCondition(newAlarm({ placeId: 'b', rule: 'light-over-peak' }), {
      isMet: true,
      atMs: 5,
    }).record;
    const roster = rosterOf(night);
    const { calling, calls, checkAgainMs } = callsNow(NOT_CALLED, {
      record: low,
      roster,
      nowMs: 5,
      zone: 'UTC',
    });
    expect([calls, checkAgainMs]).toEqual([[], null]);
    expect(belongsOnMorningSheet(calling, { record: low, nowMs: 9 })).toBe(true);
    expect(belongsOnMorningSheet({ ...calling, onMorningSheet: true }, { record: low, nowMs: 9 })).toBe(
      false,
    );
    const seen = withAcknowledgement(low, { atMs: 8 }).record;
    expect(belongsOnMorningSheet(calling, { record: seen, nowMs: 9 })).toBe(false);
  });

  test.each([
    ['ceiling-expected', false],
    ['light-over-peak', true],
  ] as const)('%s that is over by the morning is on the sheet: %s', (rule, expected) => {
    const low = withCondition(newAlarm({ placeId: 'b', rule }), { isMet: true, atMs: 5 }).record;
    const over = withCondition(low, { isMet: false, atMs: 7 }).record;
    const calling = { ...NOT_CALLED, raisedMs: 5 };
    expect(belongsOnMorningSheet(calling, { record: low, nowMs: 9 })).toBe(true);
    expect(belongsOnMorningSheet(calling, { record: over, nowMs: 9 })).toBe(expected);
  });
});

describe('quiet hours from 22:00 to 07:00 in Berlin', () => {
  const quiet = { from: '22:00', to: '07:00' };
  const until = (utc: string) => {
    const endMs = quietUntilMs({ quiet, nowMs: Date.parse(utc), zone: 'Europe/Berlin' });
    return endMs === null ? null : new Date(endMs).toISOString();
  };

  // UTC+2 in summer; on 25 October 2026 clocks go back at 03:00, on 29 March 2026 forward at 02:00 [EU Directive 2000/84]
  test.each([
    ['2026-06-01T19:59:59Z', null],
    ['2026-06-01T20:00:00Z', '2026-06-02T05:00:00.000Z'],
    ['2026-06-02T04:59:59Z', '2026-06-02T05:00:00.000Z'],
    ['2026-06-02T05:00:00Z', null],
    ['2026-10-24T22:00:00Z', '2026-10-25T06:00:00.000Z'],
    ['2026-03-28T23:00:00Z', '2026-03-29T05:00:00.000Z'],
  ])('at %s last until %s', (utc, expected) => expect(until(utc)).toBe(expected));

  test('the sheet of 07:00 is due from 05:00 UTC on, once a day, also when the daemon comes late', () => {
    const due = (utc: string, lastDay: string | null) =>
      morningSheetDayDue({ morningAt: '07:00', nowMs: Date.parse(utc), zone: 'Europe/Berlin', lastDay });
    expect(due('2026-06-02T04:59:00Z', '2026-06-01')).toBeNull();
    expect(due('2026-06-02T05:00:00Z', '2026-06-01')).toBe('2026-06-02');
    expect(due('2026-06-02T11:00:00Z', '2026-06-01')).toBe('2026-06-02');
    expect(due('2026-06-02T11:00:00Z', '2026-06-02')).toBeNull();
  });
});
