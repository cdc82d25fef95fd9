import { createServer } from 'node:http';
import { afterEach, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { createFeed } from '../../../../../server/adapters/live/feed.ts';
import { systemTimers } from '../../../../../server/adapters/system/clock.ts';
import { PART } from '../../../../../server/daemon/readout/in-parts.ts';
import type { LiveMessage } from '../../../../../shared/wire/live.ts';
import { applyLive, NOTHING_KNOWN } from '../../../../../web/frame/apply.ts';
import { freePort } from '../../../../support/ports.ts';
import { checkFrame } from '../../../../support/sent-check.ts';
import { airRecord, type House, packOf, START_MS, startHouse } from '../../support/house.ts';

const PLACES = PART.places * 3 + 7;
let close: () => void = () => undefined;
afterEach(() => close());

/** A feed on a free port over a house with many places. */
async function feedOf(house: House): Promise<string> {
  const feed = createFeed({
    turnedAway: () => undefined,
    clock: house.hand.clock,
    timers: systemTimers,
    log: house.log,
    admits: () => ({
      viewer: { accountId: null, isOwner: true, address: '127.0.0.1' },
      stillHolds: () => true,
    }),
  });
  const server = createServer();
  feed.attach(server, house.daemon.queries);
  const port = await freePort();
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  close = () => {
    feed.close();
    server.closeAllConnections();
    server.close();
  };
  return `ws://127.0.0.1:${port}/live`;
}

/** The messages of a connection until one fits. */
function receivedUntil(url: string, last: (message: LiveMessage) => boolean): Promise<LiveMessage[]> {
  const messages: LiveMessage[] = [];
  const { promise, resolve, reject } = Promise.withResolvers<LiveMessage[]>();
  const socket = new WebSocket(url);
  socket.once('error', reject).on('message', (data) => {
    checkFrame(String(data));
    const message = JSON.parse(String(data)) as LiveMessage;
    messages.push(message);
    if (!last(message)) return;
    socket.close();
    resolve(messages);
  });
  return promise;
}

async function manyPlaces(): Promise<House> {
  const house = startHouse();
  const offers = Array.from({ length: PLACES }, (_, i) =>
    house.daemon.inbox.offer(packOf([airRecord(20)], { device: `bench-${i}`, arrivedAtMs: START_MS })),
  );
  house.hand.settle();
  await Promise.all(offers);
  // the last of them is over its ceiling
  for (let i = 0; i < 3; i++) {
    await house.report([airRecord(35)], `bench-${PLACES - 1}`);
    house.hand.pass(40_000);
  }
  return house;
}

test(`${PLACES} places come in 4 parts, what is active first, and add up to all of them`, async () => {
  const house = await manyPlaces();
  const messages = await receivedUntil(
    `${await feedOf(house)}?parts=1`,
    (message) => message.type === 'part' && !message.more,
  );
  const parts = messages.flatMap((message) =>
    message.type === 'snapshot' || message.type === 'part' ? [message] : [],
  );
  expect(parts.map(({ type }) => type)).toEqual(['snapshot', 'part', 'part', 'part']);
  expect(Math.max(...parts.map(({ places }) => places.length))).toBe(PART.places);
  expect(parts[0]?.places[0]?.id).toBe(`bench-${PLACES - 1}`);
  expect(parts[0]?.alarms[0]).toMatchObject({ priority: 'high', state: 'unacknowledged' });
  const known = messages.reduce(applyLive, NOTHING_KNOWN);
  const { places, alarms } = house.daemon.queries;
  expect(known.places.map(({ id }) => id).toSorted()).toEqual(
    places()
      .map(({ id }) => id)
      .toSorted(),
  );
  expect(known.alarms.map(({ id }) => id).toSorted()).toEqual(
    alarms()
      .map(({ id }) => id)
      .toSorted(),
  );
});

test('a page that does not ask for parts gets all in its first message, as ever', async () => {
  const house = await manyPlaces();
  const [first] = await receivedUntil(await feedOf(house), () => true);
  expect(first).toMatchObject({ type: 'snapshot', seq: 1 });
  expect(first?.type === 'snapshot' && first.places.length).toBe(PLACES);
  expect(first).not.toHaveProperty('more');
});
