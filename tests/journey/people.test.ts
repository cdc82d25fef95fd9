import { setTimeout as sleep } from 'node:timers/promises';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { openPage, stickingOut, untilSays } from '../support/page.ts';
import { type Mail, type MailServer, startMailServer } from '../support/smtp.ts';
import { until } from '../support/wait.ts';
import { startWebhook } from '../support/webhook.ts';
import { isSigned } from '../support/webhook-check.ts';

/** The ceiling of the first target sheet is 26.7 °C, the deadband 0.5 K. */
const [OVER_C, CLEAR_C] = [28.4, 22];
const ALARM = 'bench-1.air-over-ceiling';

const idSchema = z.object({ id: z.number() });
const alarmsSchema = z.object({
  alarms: z.array(
    z.looseObject({ id: z.string(), state: z.string(), acknowledgedBy: z.string().nullable() }),
  ),
});
const messagesSchema = z.object({
  messages: z.array(z.object({ to: z.string(), type: z.string(), state: z.string(), attempts: z.number() })),
});

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser.close());

async function openHouse(): Promise<{ daemon: Daemon; mail: MailServer }> {
  const mail = await startMailServer();
  onTestFinished(() => mail.close());
  const settings = {
    STRIKEWELL_SMTP_URL: mail.url,
    STRIKEWELL_MAIL_FROM: 'watch@bench.example',
    STRIKEWELL_TIME_ZONE: 'UTC',
    STRIKEWELL_PUBLIC_URL: 'https://bench.example',
  };
  const daemon = await startDaemon({ settings });
  onTestFinished(() => daemon.close());
  return { daemon, mail };
}

async function reportNow({ mqttUrl }: Daemon, value: number): Promise<void> {
  const device = await connectPublisher({ url: mqttUrl });
  const payload = packOf([{ probe: 'air/temperature', unit: 'Cel', value, atMs: Date.now() }]);
  await device.publish({ topic: readingsTopic('bench-1'), payload });
  await device.close();
}

/** The place of bench-1, whose ceiling alarm waits for nothing. */
async function settle(daemon: Daemon): Promise<void> {
  await reportNow(daemon, CLEAR_C);
  const settings = { alarms: { 'air-over-ceiling': { onDelayMs: 0, offDelayMs: 0 } } };
  expect((await daemon.patch('/api/v1/places/bench-1', { settings })).status).toBe(200);
}

async function addPerson(daemon: Daemon, name: string, method: object): Promise<number> {
  const { id } = idSchema.parse((await daemon.post('/api/v1/people', { name, quiet: null })).body);
  expect((await daemon.post(`/api/v1/people/${id}/ways`, method)).status).toBe(201);
  return id;
}

const stateOf = async (daemon: Daemon) =>
  (await daemon.read('/api/v1/alarms', alarmsSchema)).alarms.find(({ id }) => id === ALARM);

const byMail = { kind: 'mail', address: 'robin@bench.example' };

test('the overnight story: over the ceiling, Robin by e-mail at once, Sam by signed webhook 3 s later, the link of the e-mail acknowledges once, Sam is notified who acknowledged it, both of the return', async () => {
  const webhook = await startWebhook();
  onTestFinished(() => webhook.close());
  const { daemon, mail } = await openHouse();
  await settle(daemon);
  const robin = await addPerson(daemon, 'Robin', byMail);
  const sam = await addPerson(daemon, 'Sam', { kind: 'webhook', url: webhook.url });
  const steps = [
    { personId: robin, afterMin: 0 },
    { personId: sam, afterMin: 0.05 },
  ];
  const escalation = { steps, repeatMin: 5, morningAt: '07:00' };
  expect((await daemon.put('/api/v1/ladder', escalation)).status).toBe(200);

  const overMs = Date.now();
  await reportNow(daemon, OVER_C);
  const [first] = await mail.atLeast(1, 2_000);
  expect(first?.headers['subject']).toMatch(/^bench-1: air 28\.4/);
  expect(webhook.requests).toEqual([]);
  const [called] = await webhook.deliveredAtLeast(1, 6_000);
  // 3 s by the escalation, looked at every second; a second more for a busy machine
  expect(Date.now() - overMs).toBeGreaterThanOrEqual(2_900);
  expect(Date.now() - overMs).toBeLessThan(5_500);
  const shown = await daemon.read('/api/v1/house/webhook-secret', z.object({ secret: z.string() }));
  expect(called && isSigned(called, shown.secret)).toBe(true);
  const { type, data } = JSON.parse(called?.body ?? '{}');
  expect([type, data.message]).toEqual(['alarm.raised', expect.stringContaining('Notified before: Robin')]);

  // bench.example stands for the daemon's address as others know it
  const link = /Acknowledge: https:\/\/bench\.example(\/answer\/\S+)/.exec(first?.text ?? '')?.[1] ?? '';
  const { page, complaints, close } = await openPage(browser, { url: daemon.httpUrl });
  onTestFinished(close);
  await page.goto(daemon.httpUrl + link);
  expect((await stateOf(daemon))?.state).toBe('unacknowledged');
  await page.getByRole('button', { name: 'Acknowledge' }).click();
  await untilSays(page, { selector: '[role=status]', text: 'Acknowledged by Robin' });
  expect(await stateOf(daemon)).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Robin' });
  await page.goto(daemon.httpUrl + link);
  await untilSays(page, { selector: '[role=status]', text: 'used before' });
  await page.goto(`${daemon.httpUrl}/answer/${'x'.repeat(80)}`);
  await untilSays(page, { selector: '[role=status]', text: 'not made here' });
  // the browser notes an answer of 410 and one of 400: nothing else is wrong
  expect(complaints().filter((one) => !/status of 4(10|00)/.test(one))).toEqual([]);

  const [, taken] = await webhook.deliveredAtLeast(2, 3_000);
  const said = JSON.parse(taken?.body ?? '{}');
  expect([said.type, said.data.message]).toEqual([
    'alarm.acknowledged',
    expect.stringMatching(/^Robin acknowledged it at \d\d:\d\d\. bench-1/),
  ]);

  await reportNow(daemon, CLEAR_C);
  await webhook.deliveredAtLeast(3, 5_000);
  const mails = await mail.atLeast(2, 5_000);
  expect(mails.map(({ headers }) => headers['subject'])[1]).toContain('back below its ceiling');
  expect(JSON.parse(webhook.requests[2]?.body ?? '{}').type).toBe('alarm.returned');
  await page.goto(`${daemon.httpUrl}/#/alarms`);
  const { messages } = await daemon.read(`/api/v1/alarms/${ALARM}/messages`, messagesSchema);
  expect(messages.map(({ to, type: what, state }) => `${to} ${what} ${state}`).toSorted()).toEqual(
    [
      'Robin, e-mail alarm.raised sent',
      'Robin, e-mail alarm.returned sent',
      'Sam, webhook alarm.raised sent',
      'Sam, webhook alarm.acknowledged sent',
      'Sam, webhook alarm.returned sent',
    ].toSorted(),
  );
});

test('a daemon killed after the commit, with its mail put off once, sends it after the restart under the same Message-ID, and nothing more', async () => {
  const { daemon, mail } = await openHouse();
  await settle(daemon);
  await addPerson(daemon, 'Robin', byMail);
  mail.putOffNext(1);
  await reportNow(daemon, OVER_C);
  await until(() => (mail.putOff.length > 0 ? true : null), { what: 'mail put off', withinMs: 3_000 });
  await daemon.kill();
  await sleep(300);
  expect(mail.mails).toEqual([]);
  await daemon.start();
  await mail.atLeast(1, 10_000);
  await sleep(2_500);
  const idOf = ({ headers }: Mail) => headers['message-id'];
  expect(mail.mails.map(idOf)).toEqual(mail.putOff.map(idOf));
  expect(mail.mails[0]?.headers['subject']).toMatch(/^bench-1: air 28\.4/);
});

test('on the page at 360 px a person is added with quiet hours and an e-mail address, a test message arrives and is confirmed, the weekly test is set to Thursday, and is removed after asking', async () => {
  const { daemon, mail } = await openHouse();
  const { page, complaints, close } = await openPage(browser, {
    url: `${daemon.httpUrl}/#/people`,
    widthPx: 360,
  });
  onTestFinished(close);
  await untilSays(page, { selector: 'main', text: 'Nobody is called yet' });
  await page.getByRole('button', { name: 'Add a person' }).click();
  await page.locator('.person-form input:focus').first().waitFor();
  await page.getByLabel('name').fill('Robin');
  await page.getByLabel('has quiet hours').check();
  await page.getByRole('button', { name: 'Add', exact: true }).click();
  const robin = page.getByTestId('person');
  await untilSays(page, { selector: '[data-testid=person]', text: 'quiet from 22:00 to 06:30' });
  await robin.getByRole('button', { name: 'Add a contact method' }).click();
  await page.getByLabel('address').fill('not an address');
  await page.getByRole('button', { name: 'Save' }).click();
  await untilSays(page, { selector: '[role=status]', text: 'expected an e-mail address' });
  await page.getByLabel('address').fill('robin@bench.example');
  await page.getByRole('button', { name: 'Save' }).click();
  await untilSays(page, { selector: '[data-testid=way]', text: 'e-mail to robin@bench.example' });
  await untilSays(page, { selector: '[data-testid=ladder]', text: 'Robin is notified at once.' });
  await page.getByRole('button', { name: 'Test now' }).click();
  await untilSays(page, { selector: '[data-testid=tested]', text: 'not yet confirmed' });
  const [tested] = await mail.atLeast(1, 2_000);
  expect(tested?.text).toContain('Nothing is wrong');
  await page.getByRole('button', { name: 'It reached me' }).click();
  await untilSays(page, { selector: '[data-testid=tested]', text: 'confirmed after' });
  await mail.close();
  await page.getByRole('button', { name: 'Test now' }).click();
  await untilSays(page, { selector: '[data-testid=tested]', text: 'not delivered yet: the mail server' });
  await untilSays(page, { selector: '[data-testid=weekly-test]', text: 'Every Monday at 10:00 (UTC)' });
  await page.getByRole('button', { name: 'Change… the weekly test' }).click();
  await page.getByLabel('on', { exact: true }).selectOption('Thursday');
  await page.getByLabel('to be confirmed within').fill('48');
  await page.getByRole('button', { name: 'Save' }).click();
  await untilSays(page, { selector: '[data-testid=weekly-test]', text: 'Every Thursday at 10:00' });
  expect(await stickingOut(page)).toEqual([]);
  await page.getByTestId('way').getByRole('button', { name: 'Remove…' }).click();
  await page.getByRole('button', { name: 'Keep' }).click();
  expect(await page.getByTestId('way').count()).toBe(1);
  await robin.getByRole('button', { name: 'Remove…' }).first().click();
  await page.getByRole('button', { name: 'Remove', exact: true }).click();
  await untilSays(page, { selector: 'main', text: 'Nobody is called yet' });
  // the browser notes an answer of 400, to what is no address
  expect(complaints().filter((one) => !one.includes('status of 400'))).toEqual([]);
});

test('the link of a test mail asks first, confirms once, and the People page says after how long', async () => {
  const { daemon, mail } = await openHouse();
  const robin = await addPerson(daemon, 'Robin', byMail);
  expect((await daemon.post(`/api/v1/people/${robin}/test`)).status).toBe(202);
  const [tested] = await mail.atLeast(1, 3_000);
  const link = /It reached me: https:\/\/bench\.example(\/answer\/\S+)/.exec(tested?.text ?? '')?.[1] ?? '';
  const { page, close } = await openPage(browser, { url: daemon.httpUrl });
  onTestFinished(close);
  await page.goto(daemon.httpUrl + link);
  // a mail program that looks at links by itself confirms nothing
  const confirmed = z.object({ tests: z.array(z.object({ confirmedAt: z.string().nullable() })) });
  expect(await daemon.read('/api/v1/people', confirmed)).toEqual({ tests: [{ confirmedAt: null }] });
  await page.getByRole('button', { name: 'It reached me' }).click();
  await untilSays(page, { selector: '[role=status]', text: /Confirmed, \d+ s after it was sent/ });
  await page.goto(daemon.httpUrl + link);
  await untilSays(page, { selector: '[role=status]', text: 'nothing more to do' });
  await page.goto(`${daemon.httpUrl}/#/people`);
  await untilSays(page, { selector: '[data-testid=tested]', text: 'confirmed after' });
});

test('a browser whose owner refuses notifications says so, and what to do', async () => {
  const { daemon } = await openHouse();
  await addPerson(daemon, 'Robin', byMail);
  const { page, close } = await openPage(browser, { url: `${daemon.httpUrl}/#/people` });
  onTestFinished(close);
  // a browser without a window answers for its owner, and says no
  await page.getByRole('button', { name: 'Notify on this browser' }).click();
  await untilSays(page, { selector: '[data-testid=person]', text: 'allow them in its settings' });
});

test('beside the demo the People page says that nobody is called about it, and a test still goes', async () => {
  const { daemon, mail } = await openHouse();
  const robin = await addPerson(daemon, 'Robin', byMail);
  expect((await daemon.post('/api/v1/demo')).status).toBe(202);
  const { page, close } = await openPage(browser, { url: `${daemon.httpUrl}/#/people`, widthPx: 360 });
  onTestFinished(close);
  await untilSays(page, { selector: '[data-testid=demo-calls-nobody]', text: 'nobody is called about them' });
  await daemon.post(`/api/v1/people/${robin}/test`);
  await mail.atLeast(1, 5_000);
});
