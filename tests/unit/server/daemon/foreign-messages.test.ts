import { describe, expect, test } from 'vitest';
import { createRing } from '../../../../server/daemon/intake/foreign-messages/ring.ts';
import { MOST_WATCHED } from '../../../../server/daemon/intake/foreign-messages/watching.ts';
import { LISTEN_LASTS_MS, WATCH_LASTS_MS } from '../../../../shared/wire/probes/foreign-messages.ts';
import { foreign, MAPPING } from '../support/foreign.ts';
import { airRecord, type House, packOf, START_MS, startHouse } from '../support/house.ts';

const foreignCounts = (house: House) =>
  house.sent.filter(({ kind }) => kind === 'foreignCounts').map(({ what }) => what);

describe('while somebody watches', () => {
  test('a good pack, a bad one and a status are listed as they came, in the words of the check', async () => {
    const house = startHouse();
    await house.report([airRecord(19)], 'before');
    house.daemon.foreignMessages.watch();
    await house.report([airRecord(21.4)]);
    await house.report([{ n: 'air/temperature', v: 21 }]);
    const status = { ...packOf([]), topic: 'strikewell/1/bench-1/status' };
    await house.send({ ...status, retainedCopy: true });
    house.hand.pass(300);
    const { messages, last } = house.daemon.foreignMessages.watched({ afterId: 0 });
    expect(last).toBe(3);
    expect(messages).toMatchObject([
      {
        id: 1,
        topic: 'strikewell/1/bench-1/readings',
        at: new Date(START_MS).toISOString(),
        bytes: 44,
        retained: false,
        whole: true,
        start: '[{"n":"air/temperature","u":"Cel","v":21.4}]',
        verdict: {
          outcome: 'stored',
          device: 'bench-1',
          code: null,
          lines: [
            'strikewell/1/bench-1/readings: 1 reading stored',
            '  air/temperature  21.4 °C  2026-06-01T10:00:00.000Z  place bench-1, Air temperature',
          ],
        },
      },
      {
        id: 2,
        verdict: {
          outcome: 'refused',
          code: 'unit-missing',
          pointer: '/0',
          lines: [
            'strikewell/1/bench-1/readings: refused, nothing of it is stored',
            expect.stringContaining('unit-missing at /0: '),
            '  → add u or bu',
          ],
        },
      },
      { id: 3, retained: true, verdict: { outcome: 'status', device: 'bench-1' } },
    ]);
    expect(foreignCounts(house)).toEqual([{ watched: 3, captured: 0, unread: 0 }]);
  });

  test(`it ends ${WATCH_LASTS_MS} ms after it was last asked for; nothing is held after that`, async () => {
    const house = startHouse();
    house.daemon.foreignMessages.watch();
    house.hand.pass(WATCH_LASTS_MS - 1_000);
    expect(house.daemon.foreignMessages.watch().until).toBe(
      new Date(house.hand.clock.nowMs() + WATCH_LASTS_MS).toISOString(),
    );
    house.hand.pass(WATCH_LASTS_MS - 1_000);
    await house.report([airRecord(21)]);
    expect(house.daemon.foreignMessages.watched({ afterId: 0 }).messages).toHaveLength(1);
    house.hand.pass(2_000);
    await house.report([airRecord(22)]);
    expect(house.daemon.foreignMessages.watched({ afterId: 0 })).toEqual({
      until: null,
      last: 1,
      gap: false,
      messages: [],
    });
  });

  test(`of 250 messages the last ${MOST_WATCHED.count} are held, and that some are missing is said`, async () => {
    const house = startHouse();
    house.daemon.foreignMessages.watch();
    for (let count = 0; count < 250; count++) await house.report([airRecord(21)]);
    const { messages, gap } = house.daemon.foreignMessages.watched({ afterId: 10 });
    expect([messages.length, messages[0]?.id, gap]).toEqual([200, 51, true]);
    expect(house.daemon.foreignMessages.watched({ afterId: 240 }).messages).toHaveLength(10);
  });

  test('a pack of 1 MiB is shown with its size, refused, and not held', async () => {
    const house = startHouse();
    house.daemon.foreignMessages.watch();
    const message = { ...packOf([]), payload: new Uint8Array(1_048_576).fill(0x20) };
    await house.send(message);
    expect(house.daemon.foreignMessages.watched({ afterId: 0 }).messages).toMatchObject([
      { bytes: 1_048_576, whole: false, verdict: { code: 'payload-too-large' } },
    ]);
  });

  test('what cannot be seen is escaped: an ESC, a mark that turns text round, half a pair', async () => {
    const house = startHouse();
    house.daemon.foreignMessages.watch();
    await house.send({ ...packOf([]), payload: new TextEncoder().encode('\u001b[31m\u202eabc\n<b>') });
    expect(house.daemon.foreignMessages.watched({ afterId: 0 }).messages[0]?.start).toBe(
      '\\u001b[31m\\u202eabc\n<b>',
    );
  });
});

test('a ring of 3 things and 10 bytes drops the oldest by count and by bytes, and keeps one that is larger alone', () => {
  const ring = createRing<string>({ count: 3, bytes: 10 });
  for (const text of ['a', 'b', 'c', 'd']) ring.push(text, 1);
  expect(ring.after(0).map(({ value }) => value)).toEqual(['b', 'c', 'd']);
  ring.push('e', 8);
  expect(ring.after(0).map(({ value }) => value)).toEqual(['c', 'd', 'e']);
  ring.push('f', 11);
  expect(ring.after(0).map(({ id, value }) => [id, value])).toEqual([[6, 'f']]);
});

describe('while somebody listens', () => {
  test(`foreign messages are received for ${LISTEN_LASTS_MS} ms, tried without being stored, and then received no more`, async () => {
    const house = startHouse();
    const { foreignMessages, foreign: gateway } = house.daemon;
    await foreignMessages.listen('house/#');
    expect([gateway.mayPublish('house/1'), gateway.mayPublish('shed/1'), gateway.takes('house/1')]).toEqual([
      true,
      false,
      false,
    ]);
    gateway.observe(foreign(house, { t: 70.7 }));
    gateway.observe(foreign(house, '21.5', 'house/bare'));
    gateway.observe(foreign(house, '1', 'shed/1'));
    house.hand.pass(300);
    expect(foreignCounts(house)).toEqual([{ watched: 0, captured: 2, unread: 0 }]);
    expect(foreignMessages.captured()).toMatchObject({
      filter: 'house/#',
      until: new Date(START_MS + LISTEN_LASTS_MS).toISOString(),
      messages: [
        { id: 1, topic: 'house/east/climate', json: { t: 70.7 }, verdict: { outcome: 'other' } },
        { id: 2, topic: 'house/bare', json: 21.5 },
      ],
    });
    const good = foreignMessages.tryOut({ mapping: MAPPING, heard: 1 });
    expect(good.verdict.lines).toEqual([
      'house/east/climate: 1 reading would be stored',
      '  air/temperature  21.5 °C  2026-06-01T10:00:00.000Z  place east, Air temperature',
    ]);
    const bad = foreignMessages.tryOut({ mapping: MAPPING, heard: 2 });
    expect(bad.verdict).toMatchObject({ outcome: 'refused', code: 'mapped-nothing', pointer: '/t' });
    expect(house.daemon.queries.probes()).toEqual([]);

    house.hand.pass(LISTEN_LASTS_MS);
    expect(foreignMessages.captured()).toMatchObject({ filter: null, until: null, messages: [{}, {}] });
    expect(gateway.mayPublish('house/1')).toBe(false);
    house.hand.pass(30 * 60_000);
    expect(() => foreignMessages.tryOut({ mapping: MAPPING, heard: 1 })).toThrow(/no longer kept/);
  });

  test('it ends by itself after 50 messages, or 524,288 bytes, so that what was picked stays', async () => {
    const house = startHouse();
    const { foreignMessages, foreign: gateway } = house.daemon;
    await foreignMessages.listen('house/#');
    for (let count = 0; count < 60; count++) gateway.observe(foreign(house, { t: count }));
    expect(foreignMessages.captured().messages.map(({ json }) => json)).toHaveLength(50);
    expect(foreignMessages.captured()).toMatchObject({ filter: null, last: 50 });
    expect(foreignMessages.tryOut({ mapping: MAPPING, heard: 1 }).verdict.outcome).toBe('stored');
    await foreignMessages.listen('house/#');
    for (let count = 0; count < 10; count++) gateway.observe(foreign(house, '1'.padEnd(65_536, ' ')));
    // 8 × 65,536 = 524,288
    expect(foreignMessages.captured()).toMatchObject({ filter: null, last: 58 });
    await foreignMessages.listen('house/#');
    gateway.observe(foreign(house, '1'.padEnd(65_537, ' ')));
    expect(foreignMessages.captured()).toMatchObject({ filter: 'house/#', messages: [] });
  });

  test('at an outside broker it listens there, ends it there, and says why it cannot', async () => {
    const log: string[] = [];
    const house = startHouse({
      listenAt: (filter, received) => {
        if (filter === 'bad/#') return Promise.reject(new Error('connect ECONNREFUSED'));
        log.push(filter);
        received({
          topic: 'house/1',
          payload: new Uint8Array([0x31]),
          arrivedAtMs: START_MS,
          retainedCopy: true,
        });
        return Promise.resolve(async () => void log.push('ended'));
      },
    });
    const { foreignMessages, foreign: gateway } = house.daemon;
    const { messages } = await foreignMessages.listen('house/#');
    expect(messages).toMatchObject([{ topic: 'house/1', retained: true, json: 1 }]);
    gateway.observe(foreign(house, '2', 'house/1'));
    expect(foreignMessages.stopListening()).toMatchObject({ filter: null, messages: [{ json: 1 }] });
    expect(log).toEqual(['house/#', 'ended']);
    await expect(foreignMessages.listen('bad/#')).rejects.toMatchObject({
      code: 'bad-request',
      message: 'The broker cannot be listened to: connect ECONNREFUSED.',
    });
  });
});
