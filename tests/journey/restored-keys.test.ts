import { copyFileSync, existsSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { askAs, runOwner } from '../support/access.ts';
import { launchBrowser } from '../support/browser.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { temporaryFolder } from '../support/folders.ts';
import { nameless, openPage, stickingOut, untilSays } from '../support/page.ts';
import { until } from '../support/wait.ts';
import { startWebhook, type Webhook } from '../support/webhook.ts';
import { isSigned } from '../support/webhook-check.ts';

const OWNER = 'mist on the third bench';
const SECRET = Buffer.alloc(32, 5).toString('base64');
const LAST_WITHOUT_KEYS = 11;
const secretSchema = z.object({ secret: z.string() });
const peopleSchema = z.object({
  pushKey: z.string(),
  restoreGaps: z.array(z.object({ wayId: z.number(), why: z.string() })),
  failing: z.array(z.object({ wayId: z.number(), error: z.string() })),
  tests: z.array(z.object({ confirmedAt: z.string().nullable() })),
});
const alarmsSchema = z.object({
  alarms: z.array(z.looseObject({ rule: z.string(), state: z.string(), facts: z.unknown() })),
});
const noticeSchema = z.object({ data: z.object({ answerPath: z.string() }) });

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser.close());

async function started(): Promise<Daemon> {
  const daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  onTestFinished(() => daemon.close());
  return daemon;
}

async function receiver(): Promise<Webhook> {
  const webhook = await startWebhook();
  onTestFinished(() => webhook.close());
  return webhook;
}

/** Ends a daemon and takes everything out of its data folder: a new machine, but for the address. */
async function asNew(daemon: Daemon): Promise<void> {
  await daemon.stop();
  for (const name of readdirSync(daemon.dataDir)) rmSync(join(daemon.dataDir, name), { recursive: true });
}

async function restore(daemon: Daemon, file: string): Promise<void> {
  const on = { STRIKEWELL_DATA_DIR: daemon.dataDir };
  expect(await runCommand(['restore', file], on)).toMatchObject({ code: 0 });
  await daemon.start();
}

const people = (daemon: Daemon) => daemon.read('/api/v1/people', peopleSchema);

test('keys of an earlier version move into the record; restored on a new machine, signature, push key and links of messages sent before are the same', async () => {
  const [before, hook] = [await started(), await receiver()];
  await before.stop();
  rmSync(join(before.dataDir, 'key-marks.json'));
  rmSync(join(before.dataDir, 'strikewell.db'));
  writeFileSync(join(before.dataDir, 'webhook-secret.json'), SECRET, { mode: 0o600 });
  await before.start();
  expect(existsSync(join(before.dataDir, 'webhook-secret.json'))).toBe(false);
  const { secret } = await before.read('/api/v1/house/webhook-secret', secretSchema);
  expect(secret).toBe(`whsec_${SECRET}`);
  await before.post('/api/v1/people', { name: 'Sam', quiet: null });
  await before.post('/api/v1/people/1/ways', { kind: 'webhook', url: hook.url });
  await before.post('/api/v1/people/1/test');
  const [request] = await hook.deliveredAtLeast(1, 10_000);
  expect(request && isSigned(request, secret)).toBe(true);
  const { pushKey } = await people(before);
  await before.stop();
  const backup = join(temporaryFolder('backup'), 'record.db');
  copyFileSync(join(before.dataDir, 'strikewell.db'), backup);

  const after = await started();
  await asNew(after);
  await restore(after, backup);
  expect(await after.read('/api/v1/house/webhook-secret', secretSchema)).toEqual({ secret });
  expect(await people(after)).toMatchObject({ pushKey, restoreGaps: [] });
  const { answerPath } = noticeSchema.parse(JSON.parse(request?.body ?? '')).data;
  expect((await fetch(after.httpUrl + answerPath, { method: 'POST' })).status).toBe(200);
  expect((await people(after)).tests[0]?.confirmedAt).not.toBeNull();
  expect(readdirSync(after.dataDir).filter((name) => /secret|link-key|push-keys/.test(name))).toEqual([]);
});

/** A backup of a version that kept its keys beside the record: Robin by push, Sam by webhook, Kim by e-mail. */
function oldBackup(webhookUrl: string): string {
  const file = join(temporaryFolder('backup'), 'old.db');
  const migrations = readMigrations().filter(({ version }) => version <= LAST_WITHOUT_KEYS);
  const db = openDatabase({ file, nowMs: Date.now(), migrations });
  const subscription = { endpoint: 'https://push.example/1', keys: { p256dh: 'a', auth: 'b' } };
  const methods = {
    Robin: { kind: 'push', name: 'Chrome on Android', subscription },
    Sam: { kind: 'webhook', url: webhookUrl },
    Kim: { kind: 'mail', address: 'kim@bench.example' },
  };
  for (const [name, contactMethod] of Object.entries(methods)) {
    const { lastInsertRowid } = db.prepare('INSERT INTO person (name) VALUES (?)').run(name);
    db.prepare('INSERT INTO way (person_id, body) VALUES (?, ?)').run(
      lastInsertRowid,
      JSON.stringify(contactMethod),
    );
  }
  db.close();
  return file;
}

test('an old backup without keys on a new machine raises an alarm that names everybody, marks them on the page, and clears one by one', async () => {
  const [daemon, hook] = [await started(), await receiver()];
  await asNew(daemon);
  await restore(daemon, oldBackup(hook.url));
  const alarm = async () => {
    const { alarms } = await daemon.read('/api/v1/alarms', alarmsSchema);
    return alarms.find(({ rule }) => rule === 'restore-incomplete') ?? null;
  };
  const named = async () => JSON.stringify((await alarm())?.facts ?? '');
  const raised = async () => ((await alarm())?.state === 'unacknowledged' ? await named() : null);
  const said = await until(raised, { what: 'alarm of the restore', withinMs: 20_000 });
  for (const who of ['notification to Robin', 'webhook to Sam', 'e-mail to Kim']) expect(said).toContain(who);
  for (const widthPx of [360, 1024]) {
    const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/people`, widthPx });
    await untilSays(opened.page, {
      selector: '[data-testid=restore-gap]',
      text: 'Needs to be set up again after the restore',
    });
    expect(await opened.page.getByTestId('restore-gap').count()).toBe(3);
    expect(await stickingOut(opened.page)).toEqual([]);
    await opened.close();
  }
  await daemon.post('/api/v1/people/2/test');
  await hook.deliveredAtLeast(1, 10_000);
  const without = async (who: string) => ((await named()).includes(who) ? null : true);
  await until(() => without('webhook to Sam'), { what: 'delivered webhook off the alarm', withinMs: 20_000 });
  await daemon.post('/api/v1/people/1/ways', {
    kind: 'push',
    name: 'Chrome on Android',
    subscription: { endpoint: 'https://push.example/2', keys: { p256dh: 'a', auth: 'b' } },
  });
  await until(() => without('notification to Robin'), { what: 'browser off the alarm', withinMs: 20_000 });
  expect((await people(daemon)).restoreGaps).toEqual([{ wayId: 3, why: 'no-mail-server' }]);
});

test('once an owner password is set, a webhook to this computer is refused in words, and goes through where the owner allows it', async () => {
  const [daemon, hook] = [await started(), await receiver()];
  await daemon.post('/api/v1/people', { name: 'Sam', quiet: null });
  // before, all is allowed
  await daemon.post('/api/v1/people/1/ways', { kind: 'webhook', url: hook.url });
  await daemon.post('/api/v1/people/1/test');
  await hook.deliveredAtLeast(1, 10_000);
  expect(await runOwner(daemon.dataDir, OWNER)).toMatchObject({ code: 0 });
  const signIn = { name: 'owner', password: OWNER };
  const { cookie } = await askAs(`${daemon.httpUrl}/api/v1/access/sign-in`, { method: 'POST', body: signIn });
  const ask = (method: string, path: string, body?: unknown) =>
    askAs(`${daemon.httpUrl}/api/v1${path}`, { method, cookie, ...(body === undefined ? {} : { body }) });

  await ask('POST', '/people/1/test', {});
  const failing = async () => {
    const { failing: all } = peopleSchema.parse(JSON.parse((await ask('GET', '/people')).text));
    return all[0]?.error ?? null;
  };
  expect(await until(failing, { what: 'failing webhook', withinMs: 10_000 })).toMatch(
    /is this computer itself/,
  );
  expect(hook.requests).toHaveLength(1);
  const refused = await ask('POST', '/people/1/ways', { kind: 'webhook', url: hook.url });
  expect([refused.status, refused.text]).toEqual([
    400,
    expect.stringContaining('127.0.0.1 is this computer itself'),
  ]);

  await allowOnPage(daemon);
  await hook.deliveredAtLeast(2, 15_000);
  expect((await ask('GET', '/people')).text).toContain('"ownAddresses":true');
});

/** The owner signs in on a phone, ticks the box of the webhook, saves and tests it. */
async function allowOnPage(daemon: Daemon): Promise<void> {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  onTestFinished(() => context.close());
  const page = await context.newPage();
  await page.goto(`${daemon.httpUrl}/#/people`);
  await page.getByLabel('name', { exact: true }).fill('owner');
  await page.getByLabel('password', { exact: true }).fill(OWNER);
  await page.keyboard.press('Enter');
  const contactMethod = page.getByTestId('way').first();
  await contactMethod.getByText('is this computer itself').first().waitFor();
  await contactMethod.getByRole('button', { name: 'Change' }).click();
  const box = contactMethod.getByLabel('Allow this computer’s own addresses');
  expect(await box.isChecked()).toBe(false);
  await contactMethod.getByRole('button', { name: 'Save' }).click();
  await contactMethod.getByText('is this computer itself. Give the address of another computer').waitFor();
  await box.check();
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
  await page.setViewportSize({ width: 1024, height: 800 });
  expect(await stickingOut(page)).toEqual([]);
  await contactMethod.getByRole('button', { name: 'Save' }).click();
  await box.waitFor({ state: 'detached' });
  await contactMethod.getByRole('button', { name: 'Test now' }).click();
}
