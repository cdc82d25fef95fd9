import { createHash, X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { request } from 'node:https';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { runOwner } from '../support/access.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Certificates, makeCertificates } from '../support/certificates.ts';
import { type Child, startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { untilSays } from '../support/page.ts';
import { freePort } from '../support/ports.ts';
import { virtualKey } from '../support/virtual-key.ts';
import { until } from '../support/wait.ts';

const OWNER = 'mist on the third bench';
const HOST = 'bench.example.org';

let certificates: Certificates;
let port: number;
let child: Child;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  const dataDir = temporaryFolder('data');
  await runOwner(dataDir, OWNER);
  certificates = await makeCertificates(temporaryFolder('tls'));
  const [mqttPort, mqttsPort] = [await freePort(), await freePort()];
  port = await freePort();
  child = startChild({
    command: process.execPath,
    args: [LAUNCHER, 'serve'],
    env: plainEnvironment({
      STRIKEWELL_DATA_DIR: dataDir,
      STRIKEWELL_HTTP_PORT: String(port),
      STRIKEWELL_MQTT_PORT: String(mqttPort),
      STRIKEWELL_MQTTS_PORT: String(mqttsPort),
      STRIKEWELL_TLS_CERT: certificates.certFile,
      STRIKEWELL_TLS_KEY: certificates.keyFile,
    }),
  });
  await until(() => headersAt(HOST), { what: 'page over https', withinMs: 20_000 });
  browser = await launchBrowser([
    `--host-resolver-rules=MAP ${HOST} 127.0.0.1`,
    `--ignore-certificate-errors-spki-list=${publicKeyHash(certificates.certFile)}`,
  ]);
});
afterAll(async () => {
  await browser.close();
  await child.end('SIGTERM');
});

/** What Chromium knows a certificate by that it is told to trust. */
function publicKeyHash(certFile: string): string {
  const key = new X509Certificate(readFileSync(certFile)).publicKey.export({ type: 'spki', format: 'der' });
  return createHash('sha256').update(key).digest('base64');
}

function headersAt(host: string, path = '/'): Promise<Readonly<Record<string, unknown>>> {
  const { promise, resolve, reject } = Promise.withResolvers<Readonly<Record<string, unknown>>>();
  const ca = readFileSync(certificates.caFile);
  const to = { host: '127.0.0.1', servername: 'localhost', port, ca, path, agent: false as const };
  const sent = request({ ...to, headers: { host: `${host}:${port}` } }, (reply) => {
    reply.resume();
    resolve(reply.headers);
  });
  sent.once('error', reject).end();
  return promise;
}

const pinned = async (host: string, path?: string) =>
  (await headersAt(host, path))['strict-transport-security'];

test('over https under a host name a browser is asked to come back encrypted for 30 days: page, files and interface', async () => {
  expect(await pinned(HOST)).toBe('max-age=2592000');
  expect(await pinned(HOST, '/api/v1/access')).toBe('max-age=2592000');
  expect(await pinned(HOST, '/assets/none.js')).toBe('max-age=2592000');
});

test('at an address, on localhost, and without encryption it is not: other programs share those', async () => {
  expect(await pinned('127.0.0.1')).toBeUndefined();
  expect(await pinned('localhost')).toBeUndefined();
  const plain: Daemon = await startDaemon();
  const { headers } = await fetch(`${plain.httpUrl}/`);
  await plain.close();
  expect(headers.get('content-security-policy')).toContain("default-src 'none'");
  expect(headers.get('strict-transport-security')).toBeNull();
});

test('under the host name a passkey is added at once after signing in, and is asked for at the next sign-in', async () => {
  page = await (await browser.newContext({ viewport: { width: 1024, height: 800 } })).newPage();
  await page.goto(`https://${HOST}:${port}/#/house`);
  const { cdp, authenticatorId } = await virtualKey(page);
  const typePassword = async () => {
    await page.getByLabel('password', { exact: true }).fill(OWNER);
    await page.keyboard.press('Enter');
  };
  await typePassword();
  const form = page.getByTestId('new-passkey');
  await form.waitFor({ state: 'attached' });
  await form.evaluate((element) => element.closest('details')?.setAttribute('open', ''));
  await form.getByLabel('its name').fill('key of the shed');
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: '[data-testid=passkeys]', text: `key of the shed, at ${HOST}` });
  const { credentials } = await cdp.send('WebAuthn.getCredentials', { authenticatorId });
  expect(credentials.map(({ rpId }) => rpId)).toEqual([HOST]);
  await page.getByTestId('sign-out').click();
  const second = page.waitForRequest((sent) => sent.url().endsWith('/access/sign-in/passkey'));
  await typePassword();
  await second;
  await untilSays(page, { selector: '[data-testid=who]', text: 'owner' });
  await untilSays(page, { selector: '[data-testid=passkeys]', text: 'last used' });
});
