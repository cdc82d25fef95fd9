import { expect, onTestFinished, test } from 'vitest';
import { createOutgoing } from '../../../../../server/adapters/notify/outgoing.ts';
import { isOwnAddress } from '../../../../../server/domain/access/own-address.ts';
import { noSignal } from '../../../../support/outgoing.ts';
import { startWebhook } from '../../../../support/webhook.ts';

const refuses = (address: string) => isOwnAddress(address, []);
const asked = (url: string, ownAddresses: boolean) =>
  ({ url, method: 'POST', headers: {}, body: 'x', signal: noSignal, ownAddresses }) as const;

async function receiver() {
  const webhook = await startWebhook();
  onTestFinished(() => webhook.close());
  return { ...webhook, port: Number(new URL(webhook.url).port) };
}

test.each([
  '127.0.0.1',
  '127.1',
  '2130706433',
  '0x7f.1',
  '0.0.0.0',
  '[::1]',
  '[::ffff:127.0.0.1]',
  'localhost',
])(
  'an address that is written %s is refused in words and not connected to; where it is allowed it is',
  async (host) => {
    const { port, requests } = await receiver();
    const send = createOutgoing(refuses);
    const url = `http://${host}:${port}/alarm`;
    await expect(send(asked(url, false))).rejects.toThrow(/is this computer itself.*the owner can allow it/);
    expect(requests).toEqual([]);
    if (host !== '[::1]') expect(await send(asked(url, true))).toMatchObject({ status: 200 });
  },
);

test('a name is refused when one of its addresses is this computer, and connected to where it was checked', async () => {
  const { port, requests } = await receiver();
  const elsewhere = { address: '203.0.113.9', family: 4 };
  const here = { address: '127.0.0.1', family: 4 };
  const mixed = createOutgoing(refuses, () => Promise.resolve([elsewhere, here]));
  const url = `http://bench.example:${port}/`;
  await expect(mixed(asked(url, false))).rejects.toThrow('bench.example (127.0.0.1) is this computer itself');
  // a name server that answers the check with one address and the connection with another
  let times = 0;
  const rebinding = createOutgoing(
    (address) => address !== '127.0.0.1',
    () => Promise.resolve([times++ === 0 ? here : elsewhere]),
  );
  expect(await rebinding(asked(url, false))).toMatchObject({ status: 200 });
  expect([times, requests.length]).toEqual([1, 1]);
});

test('names that are looked up at once are looked up once', async () => {
  const { port } = await receiver();
  let times = 0;
  const send = createOutgoing(
    () => false,
    () => {
      times += 1;
      return Promise.resolve([{ address: '127.0.0.1', family: 4 }]);
    },
  );
  const url = `http://bench.example:${port}/`;
  await Promise.all([send(asked(url, true)), send(asked(url, true)), send(asked(url, true))]);
  expect(times).toBe(1);
});
