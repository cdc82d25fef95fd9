import { setTimeout as sleep } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import { CLEAR_C, connectNode, type House, OVER_C, openBeside, openHouse, send } from './handover.ts';

const SEED = 20_261_125;
const KILLS = 16;
/** From publishing to the note that both messages were delivered; measured, with room on both sides. */
const STORY_MS = 60;
const METHODS = ['mail', 'webhook'] as const;

/** Lets the loop run until a moment, finer than timers go. */
async function untilMs(atMs: number): Promise<void> {
  while (performance.now() < atMs) await new Promise<void>((resolve) => setImmediate(resolve));
}

/** What of a change of temperature was done when the daemon died. */
type Found = 'nothing committed' | 'committed, not handed over' | 'handed over, not all noted' | 'all noted';

/** One change of temperature, and death within it; the node sends again what was not acknowledged. */
async function dieWithin(
  house: House,
  { bench, valueC, afterMs }: { bench: string; valueC: number; afterMs: number },
): Promise<Found> {
  const { daemon, delivered: taken } = house;
  const change = house.reading(valueC, bench);
  const node = await connectNode(daemon);
  const before = openBeside(daemon);
  const [known, tookBefore] = [before.transitions().length, countOf(house)];
  before.close();
  const startMs = performance.now();
  const acknowledged = node(change);
  await untilMs(startMs + afterMs);
  await daemon.kill();
  const wasAcknowledged = await acknowledged;
  // what the dead has written may still be on its way through the receivers
  await sleep(50);
  const beside = openBeside(daemon);
  const [transitions, messages] = [beside.transitions(), beside.messages()];
  beside.close();
  const found = ((): Found => {
    if (transitions.length === known) return 'nothing committed';
    const waiting = messages.slice(-METHODS.length).filter(({ state }) => state === 'waiting');
    if (waiting.length === 0) return 'all noted';
    return countOf({ delivered: taken }) > tookBefore
      ? 'handed over, not all noted'
      : 'committed, not handed over';
  })();
  // what is acknowledged has its transition in the record
  if (wasAcknowledged) expect(found).not.toBe('nothing committed');
  await daemon.start();
  if (!wasAcknowledged) expect(await send(daemon, change)).toBe(true);
  return found;
}

const countOf = ({ delivered: taken }: Pick<House, 'delivered'>) =>
  taken.mail().length + taken.webhook().length;

test(`killed ${KILLS} times at any moment of the ${STORY_MS} ms from a reading to the note that its messages were delivered, the daemon loses no message, and says none twice under 2 ids`, async () => {
  // each bench is over its ceiling once: one that repeated would be announced once for all of it
  const benches = Array.from({ length: KILLS / 2 }, (_, i) => `bench-${i + 1}`);
  const house = await openHouse(METHODS, benches);
  const next = seededNumbers(SEED);
  const found: Found[] = [];
  for (let kill = 0; kill < KILLS; kill += 1) {
    const valueC = kill % 2 === 0 ? OVER_C : CLEAR_C;
    const bench = benches[Math.floor(kill / 2)] as string;
    found.push(await dieWithin(house, { bench, valueC, afterMs: STORY_MS * next() }));
  }
  const beside = openBeside(house.daemon);
  const noted = () => (beside.messages().every(({ state }) => state === 'sent') ? true : null);
  await until(noted, { what: 'all messages noted as sent', withinMs: 15_000 });
  const [transitions, messages] = [beside.transitions(), beside.messages()];
  beside.close();

  expect(transitions).toEqual(found.map((_, kill) => (kill % 2 === 0 ? 'raised' : 'returned')));
  const kinds = transitions.map((transition) => `alarm.${transition}`);
  expect(messages.map(({ kind }) => kind)).toEqual(kinds.flatMap((kind) => METHODS.map(() => kind)));
  const keys = new Set(messages.map(({ key }) => key));
  expect(keys.size).toBe(KILLS * METHODS.length);
  const took = METHODS.flatMap((method) => house.delivered[method]());
  expect(new Set(took.map(({ key }) => key))).toEqual(keys);
  for (const { key, kind } of messages)
    expect(took.filter((one) => one.key === key).every((one) => one.kind === kind)).toBe(true);
  const twice = took.length - keys.size;
  // a way has one message under way at a time: each death can make one of each be sent again
  expect(twice).toBeLessThanOrEqual(KILLS * METHODS.length);
  const counts = Map.groupBy(found, (one) => one);
  expect(counts.size).toBeGreaterThan(1);
  const landed = [...counts].map(([what, all]) => `${what} ${all.length}`).join(', ');
  console.log(`${KILLS} kills: ${landed}; ${keys.size} messages, ${twice} taken twice under 1 id, 0 lost`);
});
