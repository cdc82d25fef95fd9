import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { createMailer } from '../../../../../server/adapters/smtp/mail.ts';
import { noSignal } from '../../../../support/outgoing.ts';
import { type MailServer, type MailServerOptions, startMailServer } from '../../../../support/smtp.ts';

const notice = (over: object = {}) =>
  JSON.stringify({
    type: 'alarm.raised',
    timestamp: '2026-06-01T02:14:00.000Z',
    data: {
      subject: 'Dome on the sill: air 28.9 °C, 2.2 K above its ceiling for 4 min.',
      message: 'Dome on the sill: air 28.9 °C. Shade it first, then open the cover.',
      answer: 'https://bench.example/answer/abc',
      answerPath: '/answer/abc',
      alarm: { id: 'dome.air-over-ceiling', priority: 'high', raisedAtMs: 1_780_280_040_000 },
      ...over,
    },
  });
const TO = { kind: 'mail', address: 'grower@bench.example' } as const;

let server: MailServer;
beforeAll(async () => {
  server = await startMailServer();
});
afterAll(() => server.close());
const mailer = () => createMailer({ url: server.url, from: 'watch@bench.example' });

describe('a mail server', () => {
  test('is given the alarm as text with its link, under a Message-ID made from the key, the same at both attempts', async () => {
    for (let attempt = 0; attempt < 2; attempt++)
      expect(await mailer()(TO, { key: 'alarm-1-7', body: notice() }, noSignal)).toEqual({ delivered: true });
    const [first, second] = server.mails.splice(0);
    expect(first).toMatchObject({ from: 'watch@bench.example', to: ['grower@bench.example'] });
    expect(first?.headers['message-id']).toBe('<alarm-1-7@bench.example>');
    expect(second?.headers['message-id']).toBe(first?.headers['message-id']);
    // RFC 3834, section 5: a machine wrote it, and no machine should answer
    expect(first?.headers['auto-submitted']).toBe('auto-generated');
    expect(first?.text).toContain('Shade it first, then open the cover.');
    expect(first?.text).toContain('Acknowledge: https://bench.example/answer/abc');
    expect(first?.text).toContain('28.9 °C');
  });

  test('is given raised and returned of one raising as one thread, and another raising as another', async () => {
    const alarm = { id: 'dome.air-over-ceiling', priority: 'high', raisedAtMs: 5 };
    await mailer()(TO, { key: 'a', body: notice({ alarm }) }, noSignal);
    await mailer()(TO, { key: 'b', body: notice({ alarm, answer: null }) }, noSignal);
    await mailer()(TO, { key: 'c', body: notice({ alarm: { ...alarm, raisedAtMs: 6 } }) }, noSignal);
    const threads = server.mails.splice(0).map(({ headers }) => headers['references']);
    expect(threads[1]).toBe(threads[0]);
    expect(threads[2]).not.toBe(threads[0]);
  });

  // RFC 5321, section 4.2.1: 5yz is for good, 4yz is worth another try
  test.each([
    [550, true],
    [451, false],
  ])('that answers a recipient with %i is an end: %s', async (code, forGood) => {
    server.refused.set(TO.address, code);
    const sent = await mailer()(TO, { key: 'a', body: notice() }, noSignal);
    server.refused.clear();
    expect(sent).toMatchObject({ delivered: false, forGood, error: expect.stringContaining(String(code)) });
    expect(server.mails.splice(0)).toEqual([]);
  });

  test.each([
    [554, true],
    [452, false],
  ])('that answers the whole mail with %i is an end: %s', async (code, forGood) => {
    server.refuseData(code);
    const sent = await mailer()(TO, { key: 'a', body: notice() }, noSignal);
    server.refuseData(null);
    expect(sent).toMatchObject({ delivered: false, forGood, error: expect.stringContaining(String(code)) });
  });

  test('nobody answers for is said, and tried again', async () => {
    const other = await startMailServer();
    await other.close();
    const send = createMailer({ url: other.url, from: 'watch@bench.example' });
    expect(await send(TO, { key: 'a', body: notice() }, noSignal)).toMatchObject({
      delivered: false,
      forGood: false,
      error: expect.stringMatching(/^the mail server: .*ECONNREFUSED/),
    });
  });
});

describe('a mail server with a login', () => {
  async function sendTo(host: string, options: MailServerOptions) {
    const other = await startMailServer(options);
    onTestFinished(() => other.close());
    const url = `smtp://robin:hunter2@${host}:${other.port}`;
    const sent = await createMailer({ url, from: 'watch@bench.example' })(
      TO,
      { key: 'a', body: notice() },
      noSignal,
    );
    return { ...other, sent };
  }

  test('on this machine is given user and password without encryption, and the mail', async () => {
    const { sent, logins, mails } = await sendTo('127.0.0.1', { login: 235 });
    expect([sent, logins, mails.length]).toEqual([{ delivered: true }, ['robin hunter2'], 1]);
  });

  // RFC 4954, section 6: 535 the login is wrong, 454 it cannot be checked just now
  test.each([
    [535, true, 'correct them in STRIKEWELL_SMTP_URL'],
    [454, false, '454'],
  ])('that answers %i is an end: %s, and says %s', async (login, forGood, words) => {
    const { sent, mails } = await sendTo('localhost', { login });
    expect(sent).toMatchObject({ delivered: false, forGood, error: expect.stringContaining(words) });
    expect(JSON.stringify(sent)).not.toContain('hunter2');
    expect(mails).toEqual([]);
  });

  // 0.0.0.0 is no loopback address, and Linux connects it to this machine
  test('elsewhere that offers no encryption is given neither password nor mail, for good, and says what to set', async () => {
    const { sent, logins, mails } = await sendTo('0.0.0.0', { login: 235 });
    expect(sent).toMatchObject({
      delivered: false,
      forGood: true,
      error: expect.stringMatching(
        /no encryption \(STARTTLS\), so user and password were not sent: use smtps/,
      ),
    });
    expect([logins, mails]).toEqual([[], []]);
  });

  test('elsewhere whose certificate nobody vouches for is given neither, and tried again', async () => {
    const { sent, logins, mails } = await sendTo('0.0.0.0', { login: 235, offersTls: true });
    expect(sent).toMatchObject({
      delivered: false,
      forGood: false,
      error: expect.stringMatching(/certificate/),
    });
    expect([logins, mails]).toEqual([[], []]);
  });

  test('elsewhere without a user needs no encryption', async () => {
    const url = server.url.replace('127.0.0.1', '0.0.0.0');
    const send = createMailer({ url, from: 'watch@bench.example' });
    expect(await send(TO, { key: 'a', body: notice() }, noSignal)).toEqual({ delivered: true });
    server.mails.splice(0);
  });
});
