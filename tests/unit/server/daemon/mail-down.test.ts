import { expect, onTestFinished, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { startMailServer } from '../../../support/smtp.ts';
import { startWebhook } from '../../../support/webhook.ts';
import { isSigned } from '../../../support/webhook-check.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';
import { passSending, realCarrier, SECRET } from '../support/real-carrier.ts';

const MINUTE_MS = 60_000;
const ID = 'bench-1.air-over-ceiling';
const mail = (address: string) => ({ kind: 'mail', address }) as const;

test('with the mail server down for 2 h and the daemon ended 24 times meanwhile, each message arrives once, under the id it had, and the webhook had its own at once', async () => {
  const probe = await startMailServer();
  await probe.close();
  const webhook = await startWebhook();
  onTestFinished(() => webhook.close());
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const { carrier, idle } = realCarrier(hand, `smtp://127.0.0.1:${probe.port}`);
  const start = () => startHouse({ store, hand, carrier, webhookUrl: null });
  let house = start();
  const robin = house.daemon.people.add({ name: 'Robin', quiet: null });
  house.daemon.people.addContactMethod(robin.id, mail('robin@bench.example'));
  const sam = house.daemon.people.add({ name: 'Sam', quiet: null });
  house.daemon.people.addContactMethod(sam.id, { kind: 'webhook', url: webhook.url });
  for (let part = 0; part < 24; part++) {
    for (let minute = 0; minute < 5; minute++) {
      await house.report([airRecord(30)]);
      await passSending(hand, { lastsMs: MINUTE_MS, stepMs: 5_000, idle });
    }
    house.daemon.stop();
    house = start();
  }
  const put = store.outbox.ofAlarm(ID, 500).filter(({ recipient }) => recipient.startsWith('Robin'));
  expect(put.map(({ state }) => state)).toEqual(['waiting']);
  // repeats are not piled up behind what is still being tried
  expect(put[0]?.attempts).toBeGreaterThan(10);
  const server = await startMailServer({ port: probe.port });
  onTestFinished(() => server.close());
  // the last wait is 10 min; by then one repeat may have followed, and no more
  await passSending(hand, { lastsMs: 10 * MINUTE_MS, stepMs: 5_000, idle });
  const dates = server.mails
    .filter(({ headers }) => headers['subject']?.startsWith('bench-1: air 30'))
    .map(({ headers }) => Date.parse(headers['date'] ?? ''));
  expect(dates[0]).toBe(put[0] && Math.floor(put[0].createdMs / 1000) * 1000);
  expect(dates.length).toBeLessThanOrEqual(2);
  const after = store.outbox.ofAlarm(ID, 500).filter(({ recipient }) => recipient.startsWith('Robin'));
  expect(after.at(-1)).toMatchObject({
    key: put[0]?.key,
    kind: 'alarm.raised',
    state: 'sent',
    lastError: null,
  });
  const ids = server.mails.map(({ headers }) => headers['message-id']);
  expect(ids).toContain(`<${put[0]?.key}@bench.example>`);
  expect(new Set(ids).size).toBe(ids.length);
  const took = webhook.requests.map(({ body }) => JSON.parse(body));
  expect(took.filter(({ type }) => type === 'alarm.raised').map(({ data }) => data.alarm.rule)).toContain(
    'way-failing',
  );
  expect(webhook.requests.every((request) => isSigned(request, `whsec_${SECRET}`))).toBe(true);
}, 60_000);
