import { connect } from 'node:net';
import { expect, onTestFinished, test } from 'vitest';
import { systemTimers } from '../../../../../server/adapters/system/clock.ts';
import { LIMITS } from '../../../../../server/domain/limits/table.ts';
import { until } from '../../../../support/wait.ts';
import { clockByHand } from '../../support/hand.ts';
import { startInterface } from '../../support/interface.ts';

type Half = { readonly text: () => string; readonly rest: (text: string) => void };

async function half(port: number, path: string, type: string): Promise<Half> {
  let text = '';
  const head = [
    `POST ${path} HTTP/1.1`,
    `Host: 127.0.0.1:${port}`,
    `Content-Type: ${type}`,
    `Content-Length: ${FILE.length}`,
    'Connection: close',
    `\r\n${FILE.slice(0, 20)}`,
  ].join('\r\n');
  const socket = connect(port, '127.0.0.1');
  onTestFinished(() => void socket.destroy());
  socket.on('data', (data: Buffer) => {
    text += data.toString('utf8');
  });
  socket.on('error', () => undefined);
  socket.write(head);
  return { text: () => text, rest: (more) => void socket.write(more) };
}

const FILE = 'time,air/temperature (Cel)\n2026-01-01T00:00:00Z,20\n2026-01-01T00:01:00Z,21\n';

test('a body that does not come within 30 s is answered with 408, and an import that takes longer is accepted whole', async () => {
  const hand = clockByHand(Date.UTC(2026, 0, 2));
  const page = await startInterface({
    hand: { ...hand, timers: { ...hand.timers, soon: systemTimers.soon } },
  });
  onTestFinished(page.close);
  const late = await half(page.port, '/api/v1/watch', 'application/json');
  const slow = await half(page.port, '/api/v1/import?device=slow&as=csv&dryRun=true', 'text/csv');
  const running = async () => {
    const { body } = await page.get('/api/v1/import');
    return JSON.stringify(body).includes('running') ? true : null;
  };
  await until(running, { what: 'the import', withinMs: 20_000 });
  page.house.hand.pass(LIMITS.httpBodyWithinMs + 2_000);
  await until(() => (late.text() === '' ? null : true), { what: 'answer', withinMs: 20_000 });
  expect(late.text()).toContain('408 Request Timeout');
  expect(page.demo).toEqual(['page-request-late']);
  slow.rest(FILE.slice(20));
  await until(() => (slow.text() === '' ? null : true), { what: 'report', withinMs: 20_000 });
  expect(slow.text()).toContain('HTTP/1.1 200');
});
