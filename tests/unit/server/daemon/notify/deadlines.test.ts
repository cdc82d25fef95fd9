import { describe, expect, test } from 'vitest';
import { createOutgoing } from '../../../../../server/adapters/notify/outgoing.ts';
import { createPing } from '../../../../../server/adapters/notify/ping.ts';
import { sendByWebhook } from '../../../../../server/adapters/notify/webhook.ts';
import { createMailer } from '../../../../../server/adapters/smtp/mail.ts';
import { systemTimers as timers } from '../../../../../server/adapters/system/clock.ts';
import { DEADLINES_MS, withDeadlines } from '../../../../../server/daemon/notify/deadlines.ts';
import { FAILING_AFTER_MS } from '../../../../../server/domain/people/failing.ts';
import type { Carrier, Delivery, OutboxMessage } from '../../../../../server/ports.ts';
import type { NewContactMethod } from '../../../../../shared/model/people/people.ts';
import {
  dribble,
  flood,
  floodAtOnce,
  type Hanging,
  silent,
  startHanging,
} from '../../../../support/hanging.ts';
import { anywhere, noSignal } from '../../../../support/outgoing.ts';
import { until } from '../../../../support/wait.ts';

/** In place of a minute, and of 15 s. */
const DEADLINE_MS = 400;
const deadlinesMs = { mail: DEADLINE_MS, webhook: DEADLINE_MS, push: DEADLINE_MS };
const data = { subject: 's', message: 'm', answer: null, answerPath: null, alarm: null };
const body = JSON.stringify({ type: 'test', timestamp: '2026-06-01T00:00:00Z', data });
const MESSAGE: OutboxMessage = {
  id: 1,
  key: 'a',
  wayId: 1,
  alarmId: null,
  body,
  priority: 'high',
  createdMs: 0,
  attempts: 0,
  nextAtMs: 0,
  lastError: null,
};
const TO_WEBHOOK: NewContactMethod = { kind: 'webhook', url: 'http://127.0.0.1:1/' };
const TO_MAIL: NewContactMethod = { kind: 'mail', address: 'robin@bench.example' };

const mailBy = (url: string): Carrier => {
  const send = createMailer({ url, from: 'watch@bench.example' });
  return {
    send: async (_method, message, signal) => send({ kind: 'mail', address: 'a@b.example' }, message, signal),
  };
};
const webhookTo = (url: string): Carrier => ({
  send: (_method, message, signal) =>
    sendByWebhook(message, {
      sendHttp: anywhere,
      url,
      ownAddresses: true,
      secret: 'c2VjcmV0',
      nowMs: 0,
      signal,
    }),
});

const sendOnce = (carrier: Carrier, method: NewContactMethod): Promise<Delivery> =>
  withDeadlines(carrier, { timers, deadlinesMs }).send(method, MESSAGE, noSignal);

/** All connections were made and let go. */
const letGo = ({ counts }: Hanging) =>
  until(() => (counts().made > 0 && counts().open === 0 ? counts() : null), {
    what: 'closed connection',
    withinMs: 5_000,
  });

test('the deadlines are 60 s for a mail and 15 s for the others, less than it takes to count as failing', () => {
  expect(DEADLINES_MS).toEqual({ mail: 60_000, webhook: 15_000, push: 15_000 });
  expect(DEADLINES_MS.mail).toBeLessThan(FAILING_AFTER_MS);
});

const LATE = { delivered: false, forGood: false, error: 'not finished after 0.4 s, broken off' };
const OVER_TLS = { dribbled: dribble('\x16\x03\x03', 50) };

describe('a mail server that', () => {
  test.each([
    ['dribbles a banner, one byte at a time', dribble('220-bench', 50), 'smtp'],
    ['dribbles whole lines of a banner that goes on', dribble('220-x\r\n', 20), 'smtp'],
    ['says nothing', silent, 'smtp'],
    ['says nothing to a handshake', silent, 'smtps'],
    ['dribbles a handshake', OVER_TLS.dribbled, 'smtps'],
  ] as const)(
    '%s is broken off at the deadline, and its connection closed',
    async (_what, misbehave, protocol) => {
      const server = await startHanging(misbehave);
      expect(await sendOnce(mailBy(`${protocol}://127.0.0.1:${server.port}`), TO_MAIL)).toEqual(LATE);
      await letGo(server);
    },
  );

  test.each([
    ['one line', 'x'],
    ['one banner', '220-x\r\n'],
    ['refusals nobody asked for', '421 x\r\n'],
  ])('floods with %s without end is left before 8 MB are read', async (_what, text) => {
    const server = await startHanging(floodAtOnce(text));
    const before = process.memoryUsage().rss;
    const sent = await sendOnce(mailBy(`smtp://127.0.0.1:${server.port}`), TO_MAIL);
    expect(sent).toMatchObject({ delivered: false, forGood: false });
    expect(sent).not.toEqual(LATE);
    const { written } = await letGo(server);
    expect(written).toBeLessThan(8 * 1024 * 1024);
    expect(process.memoryUsage().rss - before).toBeLessThan(64 * 1024 * 1024);
  });
});

const OK = 'HTTP/1.1 200 OK\r\n';

describe('a receiver that', () => {
  test.each([
    ['says nothing', silent, 'http'],
    ['dribbles a header without end', dribble(`${OK}x: ${'y'.repeat(9_000)}`, 30), 'http'],
    ['dribbles a handshake', OVER_TLS.dribbled, 'https'],
  ] as const)(
    '%s is broken off at the deadline, and its connection closed',
    async (_what, misbehave, protocol) => {
      const server = await startHanging(misbehave);
      expect(await sendOnce(webhookTo(`${protocol}://127.0.0.1:${server.port}/`), TO_WEBHOOK)).toEqual(LATE);
      await letGo(server);
    },
  );

  test.each([
    ['headers', OK, 'x: y\r\n'],
    ['one header', `${OK}x: `, 'y'],
    ['interim answers', '', 'HTTP/1.1 102 Processing\r\n\r\n'],
  ])('floods with %s is left before 8 MB are read', async (_what, first, text) => {
    const server = await startHanging(flood(first, text));
    const sent = await sendOnce(webhookTo(`http://127.0.0.1:${server.port}/`), TO_WEBHOOK);
    expect(sent).toMatchObject({ delivered: false, error: expect.stringMatching(/^no answer: /) });
    const { written } = await letGo(server);
    expect(written).toBeLessThan(8 * 1024 * 1024);
  });

  test('answers 200 with a body of a gigabyte has taken the message; the body is not read', async () => {
    const head = `${OK}content-length: 1073741824\r\n\r\n`;
    const server = await startHanging(flood(head, 'z'));
    expect(await sendOnce(webhookTo(`http://127.0.0.1:${server.port}/`), TO_WEBHOOK)).toEqual({
      delivered: true,
    });
    const { written } = await letGo(server);
    expect(written).toBeLessThan(16 * 1024 * 1024);
  });

  test('sends elsewhere is not followed', async () => {
    const elsewhere = await startHanging(silent);
    const answer = `HTTP/1.1 307 Away\r\nlocation: http://127.0.0.1:${elsewhere.port}/\r\ncontent-length: 0\r\n\r\n`;
    const server = await startHanging((socket) => void socket.once('data', () => socket.write(answer)));
    expect(await sendOnce(webhookTo(`http://127.0.0.1:${server.port}/`), TO_WEBHOOK)).toMatchObject({
      error: 'the receiver answered 307',
    });
    expect(elsewhere.counts().made).toBe(0);
  });
});

test('a name that is never resolved, and a carrier that ignores every signal, end at the deadline too', async () => {
  const forever = new Promise<never>(() => undefined);
  const deaf: Carrier = { send: () => forever };
  expect(await sendOnce(deaf, TO_WEBHOOK)).toEqual(LATE);
  const sendHttp = createOutgoing(
    () => false,
    () => forever,
  );
  const carrier: Carrier = {
    send: (_method, message, signal) =>
      sendByWebhook(message, {
        sendHttp,
        url: 'http://bench.example/',
        ownAddresses: true,
        secret: 'c2VjcmV0',
        nowMs: 0,
        signal,
      }),
  };
  expect(await sendOnce(carrier, TO_WEBHOOK)).toEqual(LATE);
});

test('a carrier that throws has failed, and may be tried again', async () => {
  const broken: Carrier = { send: () => Promise.reject(new Error('a fault')) };
  expect(await sendOnce(broken, TO_MAIL)).toEqual({
    delivered: false,
    error: 'Error: a fault',
    forGood: false,
  });
});

test('a sign of life that hangs is broken off at its deadline', async () => {
  const server = await startHanging(dribble('HTTP/1.1 200 OK\r\nx: y', 30));
  const ping = createPing(`http://127.0.0.1:${server.port}/secret`, {
    sendHttp: anywhere,
    timers,
    deadlineMs: DEADLINE_MS,
  });
  await expect(ping()).rejects.toThrow(/^no answer$/);
  await letGo(server);
});
