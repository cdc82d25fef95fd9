import { copyFileSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, test } from 'vitest';
import { temporaryFolder } from '../support/folders.ts';
import { until } from '../support/wait.ts';
import {
  CLEAR_C,
  connectNode,
  type House,
  OVER_C,
  openBeside,
  openHouse,
  type Reading,
  send,
  untilHeldUp,
} from './handover.ts';

type ContactMethod = 'mail' | 'webhook';

/** The daemon takes the reading, begins its turn, and dies before it could begin to commit. */
async function beforeCommit({ daemon }: House, over: Reading): Promise<void> {
  const [beside, node] = [openBeside(daemon), await connectNode(daemon)];
  beside.hold();
  const acknowledged = node(over);
  await untilHeldUp(daemon);
  await daemon.kill();
  beside.close();
  expect(await acknowledged).toBe(false);
}

/** Dies while somebody stands at the receiver's door, and nothing was handed over. */
async function onArrival({ daemon, moments }: House, over: Reading, method: ContactMethod): Promise<void> {
  const { promise: died, resolve } = Promise.withResolvers<unknown>();
  moments[method].onArrival = () => resolve(daemon.kill());
  void send(daemon, over);
  await died;
  moments[method].onArrival = null;
}

/** Dies after the receiver took the message whole, before it was answered. */
async function onDelivery({ daemon, moments }: House, over: Reading, method: ContactMethod): Promise<void> {
  const { promise: died, resolve } = Promise.withResolvers<void>();
  moments[method].onDelivery = async () => {
    await daemon.kill();
    resolve();
  };
  void send(daemon, over);
  await died;
  moments[method].onDelivery = null;
}

/** Dies after the receiver said that it took the message, while that waits to be noted. */
async function whenAnswered({ daemon, moments }: House, over: Reading, method: ContactMethod): Promise<void> {
  const { promise: answered, resolve } = Promise.withResolvers<void>();
  const beside = openBeside(daemon);
  moments[method].onDelivery = () => {
    beside.hold();
    resolve();
  };
  void send(daemon, over);
  await answered;
  await untilHeldUp(daemon);
  await daemon.kill();
  beside.close();
  moments[method].onDelivery = null;
}

type Step = {
  readonly name: string;
  readonly way: ContactMethod;
  readonly die: (house: House, over: Reading, method: ContactMethod) => Promise<void>;
  /** messages in the record after the death, and times the raising is delivered in all */
  readonly kept: number;
  readonly delivered: number;
};

const STEPS: readonly Step[] = [
  {
    name: 'with the reading in hand, before the commit',
    way: 'webhook',
    die: beforeCommit,
    kept: 0,
    delivered: 1,
  },
  { name: 'at the door of the webhook', way: 'webhook', die: onArrival, kept: 1, delivered: 1 },
  { name: 'at the door of the mail server', way: 'mail', die: onArrival, kept: 1, delivered: 1 },
  { name: 'when the webhook took the message', way: 'webhook', die: onDelivery, kept: 1, delivered: 2 },
  { name: 'when the mail server took the message', way: 'mail', die: onDelivery, kept: 1, delivered: 2 },
  {
    name: 'when the webhook has answered, not noted yet',
    way: 'webhook',
    die: whenAnswered,
    kept: 1,
    delivered: 2,
  },
  {
    name: 'when the mail server has answered, not noted yet',
    way: 'mail',
    die: whenAnswered,
    kept: 1,
    delivered: 2,
  },
];

/** After the restart: the node sends again what was not acknowledged, the alarm returns; all is sent and noted. */
async function expectNotified(
  house: House,
  over: Reading,
  { way: method, delivered: taken }: Pick<Step, 'way' | 'delivered'>,
) {
  const { daemon, reading } = house;
  expect(await send(daemon, over)).toBe(true);
  const of = (kind: string) => house.delivered[method]().filter((one) => one.kind === kind);
  const notified = (kind: string, count: number) =>
    until(() => (of(kind).length >= count ? true : null), {
      what: `${kind} ${count} times`,
      withinMs: 10_000,
    });
  await notified('alarm.raised', taken);
  expect(await send(daemon, reading(CLEAR_C))).toBe(true);
  await notified('alarm.returned', 1);
  const beside = openBeside(daemon);
  const noted = () => (beside.messages().every(({ state }) => state === 'sent') ? true : null);
  await until(noted, { what: 'all messages noted as sent', withinMs: 5_000 });
  const [kinds, transitions] = [beside.messages().map(({ kind }) => kind), beside.transitions()];
  const keys = beside.messages().map(({ key }) => key);
  beside.close();
  expect(transitions).toEqual(['raised', 'returned']);
  expect(kinds).toEqual(['alarm.raised', 'alarm.returned']);
  // the watch comes round every second: what was to be sent again would come in that time
  await sleep(1_500);
  expect(of('alarm.raised').map(({ key }) => key)).toEqual(Array.from({ length: taken }, () => keys[0]));
  expect(of('alarm.returned').map(({ key }) => key)).toEqual([keys[1]]);
}

describe('a daemon killed between the reading over the ceiling and the note that its message was delivered', () => {
  test.each(STEPS)(
    '$name: $kept kept, taken $taken times under 1 id',
    async ({ way: method, die, kept, delivered: taken }) => {
      const house = await openHouse([method]);
      const over = house.reading(OVER_C);
      await die(house, over, method);
      const beside = openBeside(house.daemon);
      expect([beside.transitions().length, beside.messages().length]).toEqual([kept, kept]);
      expect(beside.messages().every(({ state }) => state === 'waiting')).toBe(true);
      beside.close();
      expect(house.delivered[method]()).toHaveLength(taken - 1);
      await house.daemon.start();
      await expectNotified(house, over, { way: method, delivered: taken });
    },
  );
});

/** Bytes before each page in the log. @source SQLite, file format, section 4.1 */
const PAGE_HEAD_BYTES = 24;

type Kept = { readonly transitions: number; readonly messages: number };

/** What a record holds of which so many bytes of the log were written. */
function keptOf(dataDir: string, logBytes: number): Kept {
  const copy = temporaryFolder('half-written');
  copyFileSync(join(dataDir, 'strikewell.db'), join(copy, 'strikewell.db'));
  const log = readFileSync(join(dataDir, 'strikewell.db-wal'));
  writeFileSync(join(copy, 'strikewell.db-wal'), log.subarray(0, logBytes));
  const beside = openBeside({ dataDir: copy });
  const kept = { transitions: beside.transitions().length, messages: beside.messages().length };
  beside.close();
  return kept;
}

test('a commit of which any number of its pages was written holds the transition with its message, or neither; the node sends again, and it is sent once', async () => {
  const house = await openHouse(['webhook']);
  const { daemon } = house;
  const over = house.reading(OVER_C);
  const logFile = join(daemon.dataDir, 'strikewell.db-wal');
  const beforeBytes = readFileSync(logFile).length;
  await onArrival(house, over, 'webhook');
  const log = readFileSync(logFile);
  // the size of a page stands in the log's header
  const pageBytes = PAGE_HEAD_BYTES + log.readUInt32BE(8);
  const pages = (log.length - beforeBytes) / pageBytes;
  expect(pages).toBeGreaterThan(5);
  const all = Array.from({ length: pages + 1 }, (_, written) => {
    const logBytes = beforeBytes + written * pageBytes;
    return { logBytes, ...keptOf(daemon.dataDir, logBytes) };
  });
  const whole = all.findIndex(({ messages }) => messages === 1);
  expect(whole).toBeGreaterThan(1);
  expect(all.map(({ transitions, messages }) => [transitions, messages])).toEqual(
    all.map((_, k) => (k < whole ? [0, 0] : [1, 1])),
  );
  // the last page was half written when it died
  truncateSync(logFile, (all[whole]?.logBytes ?? 0) - Math.floor(pageBytes / 2));
  rmSync(join(daemon.dataDir, 'strikewell.db-shm'));
  await daemon.start();
  const beside = openBeside(daemon);
  expect(beside.messages()).toEqual([]);
  beside.close();
  await expectNotified(house, over, { way: 'webhook', delivered: 1 });
});
