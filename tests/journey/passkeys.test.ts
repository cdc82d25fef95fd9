import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Browser, CDPSession, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { launchBrowser } from '../support/browser.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { nameless, type OpenPage, openPage, stickingOut, tabTo, untilSays } from '../support/page.ts';
import { virtualKey } from '../support/virtual-key.ts';
import { until } from '../support/wait.ts';

const OWNER = 'mist on the third bench';
const SIGN_IN = '/api/v1/access/sign-in';
/** What the browser itself notes of an answer that is an error. */
const REFUSED = /401|403|400 .*access\/owner|ERR_CONNECTION|WebSocket/;

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;
let cdp: CDPSession;
let authenticatorId: string;
let pageUrl: string;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon();
  // passkeys belong to a host name: an address has none
  pageUrl = `http://localhost:${daemon.httpPort}`;
  opened = await openPage(browser, { url: `${pageUrl}/#/house`, widthPx: 360, heightPx: 740 });
  page = opened.page;
  ({ cdp, authenticatorId } = await virtualKey(page));
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

const live = () => page.locator('[data-testid=link-state][data-state=live]').waitFor({ timeout: 20_000 });
const post = (path: string, body: unknown) =>
  fetch(`${pageUrl}${path}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });

async function openDetails(): Promise<void> {
  await page.evaluate(() => {
    for (const details of document.querySelectorAll('details')) details.open = true;
  });
}

async function typePassword(): Promise<void> {
  await page.getByLabel('password', { exact: true }).fill(OWNER);
  await page.keyboard.press('Enter');
}

/** Signs in on the page by password and passkey. @returns what was sent in the second step */
async function signInWithPasskey(): Promise<{ ticket: string; credential: { response: object } }> {
  const sent = page.waitForRequest((request) => request.url().endsWith(`${SIGN_IN}/passkey`));
  await typePassword();
  const body: { ticket: string; credential: { response: object } } = (await sent).postDataJSON();
  return body;
}

async function signOut(): Promise<void> {
  await page.getByTestId('sign-out').click();
  await page.getByTestId('sign-in').waitFor();
}

/** The ticket of a second step, begun by whoever knows the password. */
async function begun(): Promise<string> {
  const reply = await post(SIGN_IN, { name: 'owner', password: OWNER });
  expect(reply.status).toBe(202);
  expect(reply.headers.get('set-cookie')).toBeNull();
  const { passkey } = (await reply.json()) as { passkey: { ticket: string } };
  return passkey.ticket;
}

async function ownerCommand(...options: string[]): Promise<string> {
  const child = startChild({
    command: process.execPath,
    args: [LAUNCHER, 'owner', ...options],
    env: plainEnvironment({ STRIKEWELL_DATA_DIR: daemon.dataDir }),
  });
  expect((await child.exit).code).toBe(0);
  return child.stdout();
}

test('while an owner password is typed, what is easy to guess is said, and it is refused', async () => {
  const field = page.getByLabel('owner password');
  await field.fill('password123');
  await untilSays(page, { selector: '#page .field .problem', text: 'one of the most common passwords' });
  await page.getByRole('button', { name: 'Set it' }).click();
  await untilSays(page, { selector: 'form > .problem', text: 'Nothing was changed' });
  await field.fill('strikewell');
  await untilSays(page, { selector: '#page .field .problem', text: 'little more than the name' });
  await field.fill(OWNER);
  await untilSays(page, { selector: '#page .field .hint', text: 'easy to remember' });
  await page.getByRole('button', { name: 'Set it' }).click();
  await untilSays(page, { selector: '[data-testid=who]', text: 'owner' });
});

test('after a restart a passkey is added by keyboard alone, once the password was given again in the dialog', async () => {
  await daemon.stop();
  await daemon.start();
  await live();
  await openDetails();
  await page.getByTestId('new-passkey').getByLabel('its name').fill('phone');
  await page.keyboard.press('Enter');
  const dialog = page.getByTestId('confirm');
  await dialog.getByLabel('your password').waitFor();
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
  await page.keyboard.press('Escape');
  await untilSays(page, { selector: '[data-testid=new-passkey]', text: 'Cancelled' });
  await tabTo(page, { selector: '[data-testid=new-passkey] button' });
  await page.keyboard.press('Enter');
  await dialog.getByLabel('your password').waitFor();
  await page.keyboard.type('not the password');
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: '[data-testid=confirm]', text: 'does not fit' });
  await tabTo(page, { selector: '[data-testid=confirm] input' });
  await page.keyboard.type(OWNER);
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: '[data-testid=passkeys]', text: /phone, at localhost/ });
  const { credentials } = await cdp.send('WebAuthn.getCredentials', { authenticatorId });
  expect(credentials.map(({ rpId }) => rpId)).toEqual(['localhost']);
});

test('signing in asks for the password, then the passkey; the same answer a second time is refused', async () => {
  await signOut();
  const sent = await signInWithPasskey();
  await live();
  expect((await post(`${SIGN_IN}/passkey`, sent)).status).toBe(401);
  const fresh = await post(`${SIGN_IN}/passkey`, { ...sent, ticket: await begun() });
  expect(fresh.status).toBe(401);
  expect(fresh.headers.get('set-cookie')).toBeNull();
});

test('a signature counter that went back, as a copied key’s would, is refused', async () => {
  await page.goto(`${pageUrl}/#/house`);
  await signOut();
  const db = new Database(join(daemon.dataDir, 'strikewell.db'));
  const { counter } = db.prepare<[], { counter: number }>('SELECT counter FROM passkey').get() ?? {
    counter: 0,
  };
  expect(counter).toBeGreaterThan(0);
  db.prepare('UPDATE passkey SET counter = ?').run(counter + 1_000);
  await typePassword();
  await untilSays(page, { selector: '[data-testid=sign-in]', text: 'passkey does not fit' });
  db.prepare('UPDATE passkey SET counter = ?').run(counter);
  db.close();
});

test('without the key the page says so and can be asked again; with another key it stays out', async () => {
  const { credentials } = await cdp.send('WebAuthn.getCredentials', { authenticatorId });
  await cdp.send('WebAuthn.clearCredentials', { authenticatorId });
  await typePassword();
  await untilSays(page, { selector: '[data-testid=passkey-step]', text: /No passkey was given|cannot|not/ });
  // one thing at a time, and by keyboard at once
  expect(await page.getByTestId('sign-in').count()).toBe(0);
  await page.locator('button:focus', { hasText: 'Use the passkey' }).waitFor();
  await untilSays(page, { selector: '#page', text: 'npx strikewell owner --remove-passkeys' });
  expect(await stickingOut(page)).toEqual([]);
  await page.getByRole('button', { name: 'Back' }).click();
  await page.getByTestId('sign-in').waitFor();
  expect(await page.getByTestId('sign-in').textContent()).not.toContain('No passkey');
  await typePassword();
  await page.locator('button:focus', { hasText: 'Use the passkey' }).waitFor();
  const { privateKey: other } = await crypto.subtle
    .generateKey({ name: 'ECDSA', namedCurve: 'P-256' }, true, ['sign'])
    .then(async (pair) => ({ privateKey: await crypto.subtle.exportKey('pkcs8', pair.privateKey) }));
  const [known] = credentials;
  if (!known) throw new Error('the authenticator held no key');
  // the right name of the credential, signed by another key
  const privateKey = Buffer.from(other).toString('base64');
  await cdp.send('WebAuthn.addCredential', { authenticatorId, credential: { ...known, privateKey } });
  await page.getByRole('button', { name: 'Use the passkey' }).click();
  await untilSays(page, { selector: '[data-testid=sign-in]', text: 'passkey does not fit' });
  await cdp.send('WebAuthn.clearCredentials', { authenticatorId });
  await cdp.send('WebAuthn.addCredential', {
    authenticatorId,
    credential: { ...known, signCount: known.signCount + 10 },
  });
  await signInWithPasskey();
  await live();
});

test('at an address without a host name the password alone does not let in', async () => {
  const reply = await fetch(`${daemon.httpUrl}${SIGN_IN}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ name: 'owner', password: OWNER }),
  });
  expect(reply.status).toBe(401);
  expect(await reply.json()).toMatchObject({ error: { code: 'passkey-needed' } });
});

test('the owner sees what happened, and nothing sticks out at 360 px', async () => {
  await page.goto(`${pageUrl}/#/house`);
  await openDetails();
  const list = '[data-testid=access-events]';
  await untilSays(page, { selector: `${list} li`, text: 'owner added the passkey "phone"' });
  await untilSays(page, { selector: `${list} li`, text: 'no valid passkey for owner' });
  await untilSays(page, {
    selector: `${list} li`,
    text: 'owner gave a wrong password when asked to confirm it',
  });
  await untilSays(page, { selector: `${list} li`, text: 'owner password set for the first time' });
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
});

test('a lost passkey is removed at the command line beside the daemon: sessions end, the password alone signs in', async () => {
  const ticket = await begun();
  expect(await ownerCommand('--remove-passkeys')).toContain('Passkeys removed: 1');
  await page.getByTestId('sign-in').waitFor({ timeout: 20_000 });
  const { credential } = { credential: { id: 'AAAA', rawId: 'AAAA', type: 'public-key' } };
  const response = { clientDataJSON: 'e30', authenticatorData: 'AAAA', signature: 'AAAA' };
  const late = { ticket, credential: { ...credential, clientExtensionResults: {}, response } };
  expect((await post(`${SIGN_IN}/passkey`, late)).status).toBe(401);
  await typePassword();
  await live();
  await openDetails();
  await untilSays(page, {
    selector: '[data-testid=access-events] li',
    text: 'all passkeys of owner removed at the command line',
  });
  const again = await until(
    async () => ((await page.getByTestId('passkeys').getByRole('listitem').count()) === 0 ? true : null),
    { what: 'an empty list of passkeys', withinMs: 10_000 },
  );
  expect(again).toBe(true);
  expect(daemon.stderr()).not.toContain('Warning');
  expect(opened.complaints().filter((complaint) => !REFUSED.test(complaint))).toEqual([]);
});
