import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { expect, onTestFinished, test } from 'vitest';
import { createPing } from '../../../../../server/adapters/notify/ping.ts';
import { systemTimers } from '../../../../../server/adapters/system/clock.ts';
import { anywhere } from '../../../../support/outgoing.ts';

async function listening(status: number) {
  const asked: string[] = [];
  const server = createServer((request, response) => {
    asked.push(`${request.method} ${request.url}`);
    response.writeHead(status).end();
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  onTestFinished(() => void server.close());
  return { url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/alive/secret`, asked };
}

test('asks the address once and is content with a 204', async () => {
  const { url, asked } = await listening(204);
  await createPing(url, { sendHttp: anywhere, timers: systemTimers })();
  expect(asked).toEqual(['GET /alive/secret']);
});

test('an answer of 302 or 500, or none at all, is said without the address, which may hold a secret', async () => {
  for (const status of [302, 500]) {
    const { url } = await listening(status);
    await expect(createPing(url, { sendHttp: anywhere, timers: systemTimers })()).rejects.toThrow(
      `it answered ${status}`,
    );
  }
  const said = await createPing('http://127.0.0.1:9/secret', {
    sendHttp: anywhere,
    timers: systemTimers,
  })().catch(String);
  expect(said).toBe('Error: no answer');
});
