import { setTimeout as sleep } from 'node:timers/promises';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { type PushService, startPushService } from '../support/push-service.ts';
import { until } from '../support/wait.ts';

const ALARM = 'bench-1.air-over-ceiling';
const alarmsSchema = z.object({
  alarms: z.array(
    z.looseObject({ id: z.string(), state: z.string(), acknowledgedBy: z.string().nullable() }),
  ),
});

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser.close());

async function reportNow({ mqttUrl }: Daemon, value: number): Promise<void> {
  const device = await connectPublisher({ url: mqttUrl });
  const payload = packOf([{ probe: 'air/temperature', unit: 'Cel', value, atMs: Date.now() }]);
  await device.publish({ topic: readingsTopic('bench-1'), payload });
  await device.close();
}

/** A daemon that notifies Robin of bench-1 through the service, with a ceiling alarm that waits for nothing. */
async function openHouse(service: PushService): Promise<Daemon> {
  const daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  onTestFinished(() => daemon.close());
  await reportNow(daemon, 22);
  const settings = { alarms: { 'air-over-ceiling': { onDelayMs: 0, offDelayMs: 0 } } };
  await daemon.patch('/api/v1/places/bench-1', { settings });
  await daemon.post('/api/v1/people', { name: 'Robin', quiet: null });
  const method = { kind: 'push', name: 'a phone', subscription: service.subscription };
  expect((await daemon.post('/api/v1/people/1/ways', method)).status).toBe(201);
  return daemon;
}

/** A browser of its own with the worker of the page, to which messages are handed as its push service would. */
async function openWorker(daemon: Daemon) {
  const context = await browser.newContext({ permissions: ['notifications'] });
  onTestFinished(() => context.close());
  const page = await context.newPage();
  const devtools = await context.newCDPSession(page);
  const registrations: string[] = [];
  devtools.on('ServiceWorker.workerRegistrationUpdated', (event) => {
    for (const { registrationId } of event.registrations) registrations.push(registrationId);
  });
  await devtools.send('ServiceWorker.enable');
  await page.goto(daemon.httpUrl);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
  const worker = await until(() => context.serviceWorkers()[0] ?? null, { what: 'worker', withinMs: 5_000 });
  const registrationId = await until(() => registrations[0] ?? null, {
    what: 'registration',
    withinMs: 5_000,
  });
  const deliver = (data: string) =>
    devtools.send('ServiceWorker.deliverPushMessage', { origin: daemon.httpUrl, registrationId, data });
  const shown = () =>
    page.evaluate(async () => {
      const registration = await navigator.serviceWorker.ready;
      return (await registration.getNotifications()).map(({ title, body, tag }) => ({ title, body, tag }));
    });
  return { page, worker, shown, deliver };
}

test('a notification is sealed for the browser, shown by its worker, leads to its alarm, and its action Acknowledge acknowledges', async () => {
  const service = await startPushService();
  onTestFinished(() => service.close());
  const daemon = await openHouse(service);
  const { pushKey } = await daemon.read('/api/v1/people', z.object({ pushKey: z.string() }));

  await reportNow(daemon, 28.4);
  const [pushed] = await service.atLeast(1, 3_000);
  expect(pushed?.vapid).toMatchObject({ key: pushKey });

  const { page, worker, shown, deliver } = await openWorker(daemon);
  const delivered = () =>
    until(
      async () => {
        // a browser drops what comes before its worker is up; delivered again it replaces itself
        await deliver(pushed?.text ?? '');
        await sleep(500);
        const all = await shown();
        return all.length > 0 ? all : null;
      },
      { what: 'notification', withinMs: 20_000 },
    );
  const listed = await delivered();
  expect(listed).toMatchObject([{ title: expect.stringMatching(/^bench-1: air 28\.4/), tag: ALARM }]);

  // a tap on the notification itself: the page stands at its alarm, which has the focus
  await worker.evaluate(pressNotification, '');
  await page.waitForURL(/#\/alarms\/bench-1\.air-over-ceiling$/);
  const asked = page.getByTestId('asked-alarm');
  await asked
    .getByTestId('alarm-block')
    .getByText(/air 28\.4/)
    .first()
    .waitFor();
  expect(await asked.evaluate((box) => box === document.activeElement)).toBe(true);
  expect(await asked.getByRole('button', { name: 'Acknowledge' }).isVisible()).toBe(true);

  // a tap closes it: its action is that of the next one
  await delivered();
  await worker.evaluate(pressNotification, 'acknowledge');
  const seen = async () => {
    const { alarms } = await daemon.read('/api/v1/alarms', alarmsSchema);
    return alarms.find(({ id, state }) => id === ALARM && state === 'acknowledged') ?? null;
  };
  expect(await until(seen, { what: 'acknowledged alarm', withinMs: 5_000 })).toMatchObject({
    acknowledgedBy: 'Robin',
  });
  await sleep(200);
  expect((await shown()).map(({ title }) => title)).toContain(
    'Acknowledged by Robin. Nobody else is called about it now.',
  );

  service.answer(410);
  await reportNow(daemon, 22);
  const states = z.object({
    messages: z.array(z.looseObject({ state: z.string(), error: z.string().nullable() })),
  });
  const ended = async () => {
    const { messages } = await daemon.read(`/api/v1/alarms/${ALARM}/messages`, states);
    return messages.find(({ state }) => state === 'given-up') ?? null;
  };
  expect((await until(ended, { what: 'given up message', withinMs: 5_000 })).error).toContain(
    'accepts no more messages',
  );
});

test('a test comes as a notification whose action says that it reached me, and the People page knows', async () => {
  const service = await startPushService();
  onTestFinished(() => service.close());
  const daemon = await openHouse(service);
  await daemon.post('/api/v1/people/1/test');
  const [pushed] = await service.atLeast(1, 3_000);
  expect(JSON.parse(pushed?.text ?? '')).toMatchObject({ type: 'test', answerTitle: 'It reached me' });
  const { worker, shown, deliver } = await openWorker(daemon);
  await deliver(pushed?.text ?? '');
  const listed = async () => {
    const all = await shown();
    return all.length > 0 ? all : null;
  };
  expect(await until(listed, { what: 'notification', withinMs: 20_000 })).toMatchObject([
    { title: 'Strikewell: a test, nothing is wrong' },
  ]);
  await worker.evaluate(pressNotification, 'acknowledge');
  const answerSchema = z.object({ tests: z.array(z.object({ confirmedAt: z.string().nullable() })) });
  const confirmed = async () =>
    (await daemon.read('/api/v1/people', answerSchema)).tests[0]?.confirmedAt ?? null;
  await until(confirmed, { what: 'confirmed test', withinMs: 5_000 });
});

/** Runs in the worker: what the browser does when somebody presses the newest notification, or an action of it. */
async function pressNotification(action: string): Promise<void> {
  type Worker = {
    registration: { getNotifications(): Promise<object[]> };
    NotificationEvent: new (type: string, of: object) => Event;
    dispatchEvent(event: Event): boolean;
  };
  const self = globalThis as unknown as Worker;
  const [notification] = await self.registration.getNotifications();
  self.dispatchEvent(new self.NotificationEvent('notificationclick', { notification, action }));
}
