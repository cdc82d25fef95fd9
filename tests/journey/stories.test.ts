import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { morningZone, nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { openPage, type PageOptions, stickingOut, untilSays } from '../support/page.ts';
import { startMailServer } from '../support/smtp.ts';

/** What people come to the page for, each with its taps counted. */
const PHONE = { widthPx: 360, heightPx: 740 };
const HOT = 'bench-18.air-over-ceiling';

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser.close());

/** Counts taps and the seconds the machine takes for them; choosing from a list is two. */
function tapping() {
  const beganMs = performance.now();
  let taps = 0;
  return {
    tap: async (target: Locator) => {
      taps += 1;
      await target.click();
    },
    pick: async (target: Locator, value: string) => {
      taps += 2;
      await target.selectOption(value);
    },
    done: (what: string) => {
      const seconds = (performance.now() - beganMs) / 1_000;
      console.log(`${what}: ${taps} taps, ${seconds.toFixed(1)} s of the machine`);
      return { taps, seconds };
    },
  };
}

async function pageAt(daemon: Daemon, hash: string, options: Partial<PageOptions> = PHONE) {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/${hash}`, ...options });
  onTestFinished(() => opened.close());
  return opened;
}

test('a hobbyist’s first evening on a phone: three questions, the first readings, who is called, a test that arrived', async () => {
  const mail = await startMailServer();
  onTestFinished(() => mail.close());
  const settings = { STRIKEWELL_SMTP_URL: mail.url, STRIKEWELL_MAIL_FROM: 'watch@bench.example' };
  const daemon = await startDaemon({ settings });
  onTestFinished(() => daemon.close());
  const { page, complaints } = await pageAt(daemon, '');
  const { tap, done } = tapping();
  const path = page.getByTestId('begin-path');
  await path.waitFor();
  await tap(path.getByRole('radio', { name: /bottle dome/ }));
  await tap(path.getByRole('radio', { name: /^no / }));
  await tap(path.getByRole('radio', { name: /soft green tips/ }));
  const device = await connectPublisher({ url: daemon.mqttUrl });
  onTestFinished(() => device.close());
  const payload = '[{"n":"air/temperature","u":"Cel","v":21.4},{"n":"air/humidity","u":"%RH","v":88}]';
  await device.publish({ topic: 'strikewell/1/sill/readings', payload });
  await page.locator('[data-place=sill]').waitFor();
  await tap(page.getByRole('link', { name: 'Getting started' }));
  // the answers given before there was a place are those it gets
  await tap(page.getByTestId('begin-questions').getByRole('button', { name: 'Use the bands that fit' }));
  await untilSays(page, { selector: '[data-testid=begin-questions]', text: 'Answered for sill.' });
  await tap(page.getByTestId('begin-people').getByRole('link', { name: 'People' }));
  await tap(page.getByRole('button', { name: 'Add a person' }));
  await page.getByLabel('name').fill('Robin');
  await tap(page.getByRole('button', { name: 'Add', exact: true }));
  await tap(page.getByTestId('person').getByRole('button', { name: 'Add a contact method' }));
  await page.getByLabel('address').fill('robin@bench.example');
  await tap(page.getByRole('button', { name: 'Save' }));
  await tap(page.getByRole('button', { name: 'Test now' }));
  await mail.atLeast(1, 5_000);
  await tap(page.getByRole('button', { name: 'It reached me' }));
  await untilSays(page, { selector: '[data-testid=tested]', text: 'confirmed after' });
  await tap(page.getByRole('link', { name: 'Getting started' }));
  await page.locator('.begin-step.done').nth(3).waitFor();
  expect(await stickingOut(page)).toEqual([]);
  expect(done('a first evening').taps).toBeLessThanOrEqual(16);
  expect(complaints()).toEqual([]);
});

describe('with 24 benches', () => {
  let daemon: Daemon;
  beforeAll(async () => {
    daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: morningZone(Date.now()) } });
    await reportBenches(daemon, nightBenches());
  }, 60_000);
  afterAll(() => daemon.close());

  const stateOf = async (alarmId: string) => {
    const { body } = await daemon.get('/api/v1/alarms');
    return Object(body).alarms.find(({ id }: { id: string }) => id === alarmId)?.state;
  };

  test('at 3 a.m. on a phone the message leads to its alarm: what, what to do, and Acknowledge, in three taps', async () => {
    const { tap, done } = tapping();
    // the first tap is on the notification, which opens this address
    const { page } = await pageAt(daemon, `#/alarms/${HOT}`, { ...PHONE, colorScheme: 'dark' });
    const asked = page.getByTestId('asked-alarm');
    const button = asked.getByRole('button', { name: 'Acknowledge' });
    await asked
      .getByText(/^Shade it/)
      .first()
      .waitFor();
    expect((await button.boundingBox())?.y).toBeLessThan(PHONE.heightPx);
    expect(await page.evaluate(() => document.activeElement?.getAttribute('data-testid'))).toBe(
      'asked-alarm',
    );
    await tap(button);
    await untilSays(page, {
      selector: '[data-testid=asked-alarm] [data-testid=alarm-state]',
      text: 'acknowledged',
    });
    expect(await stateOf(HOT)).toBe('acknowledged');
    expect(await page.evaluate(() => document.activeElement === document.body)).toBe(false);
    await tap(asked.getByRole('link', { name: 'Open Bench 18' }));
    await page.getByTestId('place-card').waitFor();
    expect(1 + done('an alarm at 3 a.m.').taps).toBeLessThanOrEqual(3);
  });

  test('a technician’s morning: what the night did to 24 benches, the worst looked at, and what was done written down', async () => {
    const { tap, done } = tapping();
    const { page, complaints } = await pageAt(daemon, '#/night');
    await page.getByTestId('night-row').nth(23).waitFor();
    await untilSays(page, { selector: '.night-lead', text: /Bench 18/ });
    for (const id of ['bench-18', 'bench-14', 'bench-11']) {
      const row = page.locator(`[data-place=${id}]`);
      await tap(row.locator('h3 button'));
      await row.locator('.night-say .sentence').waitFor();
    }
    await tap(page.locator('[data-place=bench-11]').getByRole('link', { name: 'Open Bench 11' }));
    await tap(page.getByRole('button', { name: 'Watered' }));
    await untilSays(page, { selector: '[data-testid=entry]', text: /^Watered \d\d:\d\d/ });
    const { taps, seconds } = done('a morning with 24 benches');
    // twelve taps of five seconds, and a minute to read
    expect(taps).toBeLessThanOrEqual(12);
    expect(5 * taps + 60 + seconds).toBeLessThan(120);
    expect(complaints()).toEqual([]);
  });

  test('a limit is tried on the past: more alarms with a lower one, and its delay is taken over', async () => {
    const { tap, pick, done } = tapping();
    const { page } = await pageAt(daemon, '#/place/bench-4');
    await tap(page.getByText('Try an alarm on the past'));
    const trial = page.locator('.try-past');
    await pick(trial.getByLabel('Over'), '7');
    const as = (title: string) => trial.locator('.outcome', { hasText: title }).locator('p[role=status]');
    // 29.4 °C for an hour in the night
    await as('As the place has it')
      .getByText(/^1 alarm, /)
      .waitFor();
    await trial.getByLabel('Limit to try').fill('35');
    await as('As tried')
      .getByText(/^No alarm/)
      .waitFor();
    await trial.getByLabel('Delay to test').fill('9');
    await tap(trial.getByRole('button', { name: 'Use this delay' }));
    await untilSays(page, { selector: '[data-testid=said]', text: 'now waits 9 min' });
    const { body } = await daemon.get('/api/v1/places/bench-4');
    expect(Object(body).settings.alarms['air-over-ceiling'].onDelayMs).toBe(540_000);
    done('a limit tried');
  });

  test('benches are dragged into a zone and moved by keys, then get names; what will change is shown before', async () => {
    const { page, complaints } = await pageAt(daemon, '#/several', { widthPx: 1280, heightPx: 900 });
    await page.getByLabel('Change', { exact: true }).selectOption('zones, by dragging');
    const board = page.getByTestId('zone-board');
    await board.getByLabel('A new zone').fill('West house');
    await board.getByRole('button', { name: 'Add' }).click();
    await board.getByRole('region', { name: 'West house' }).waitFor();
    const from = await board.getByRole('button', { name: 'Bench 1', exact: true }).boundingBox();
    const to = await board.getByRole('region', { name: 'West house' }).boundingBox();
    if (!from || !to) throw new Error('nothing to drag');
    await page.mouse.move(from.x + 8, from.y + 8);
    await page.mouse.down();
    await page.mouse.move(to.x + 30, to.y + 20, { steps: 3 });
    await page.mouse.up();
    const plan = page.getByTestId('several-plan');
    await plan.getByText('→ West house').waitFor();
    const bench2 = '[data-move=bench-2]';
    await page.locator(bench2).focus();
    // North house, South house, West house
    for (const zone of ['South house', 'West house']) {
      await page.keyboard.press('ArrowDown');
      await board.getByRole('region', { name: zone }).locator(bench2).waitFor();
    }
    expect(await page.locator(bench2).evaluate((one) => one === document.activeElement)).toBe(true);
    await plan.getByRole('button', { name: 'Change 2 places' }).click();
    await untilSays(page, { selector: '[data-testid=undo]', text: '2 places changed.' });
    await page.getByLabel('Change', { exact: true }).selectOption('the names, numbered');
    await page.getByLabel('Names, with # for the number').fill('Mist #');
    await page.getByLabel('numbered from').fill('7');
    await page.getByLabel('Bench 1', { exact: true }).check();
    await page.getByLabel('Bench 2', { exact: true }).check();
    await plan.getByText('→ Mist 8').waitFor();
    await plan.getByRole('button', { name: 'Change 2 places' }).click();
    await untilSays(page, { selector: '[data-testid=undo]', text: '2 places changed.' });
    const { body } = await daemon.get('/api/v1/places/bench-2');
    expect(Object(body)).toMatchObject({ name: 'Mist 8', settings: { zone: 'West house' } });
    expect(complaints()).toEqual([]);
  });

  test('offline and back: the page may be installed, opens without the daemon with what it knew and its age, and comes back by itself', async () => {
    const { page } = await pageAt(daemon, '');
    const devtools = await page.context().newCDPSession(page);
    const { installabilityErrors } = await devtools.send('Page.getInstallabilityErrors');
    // a window without a trace of its own, as tests have it, may install nothing
    const errors = installabilityErrors.map(({ errorId }) => errorId).filter((id) => id !== 'in-incognito');
    expect(errors).toEqual([]);
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
    await kept(page);
    await page.getByTestId('bench-line').nth(23).waitFor();
    await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
    await daemon.kill();
    await page.reload();
    await page.locator('[data-testid=link-state]:not([data-state=live])').waitFor();
    await page.getByTestId('bench-line').nth(23).waitFor();
    await page.locator('main.old').waitFor();
    await untilSays(page, { selector: '.link-notice', text: /Last seen .* What is shown is that old/ });
    await page.evaluate(() => {
      location.hash = '#/night';
    });
    await page.getByTestId('night-page').waitFor();
    await daemon.start();
    await page.locator('[data-testid=link-state][data-state=live]').waitFor({ timeout: 20_000 });
    await page.getByTestId('night-row').nth(23).waitFor();
    expect(await page.locator('main.old').count()).toBe(0);
  });
});

/** Waits until the worker has a whole build at hand. */
async function kept(page: Page): Promise<void> {
  await page.waitForFunction(async () => {
    const names = await caches.keys();
    const pages = await Promise.all(names.map(async (name) => (await caches.open(name)).match('/')));
    return pages.some((found) => found !== undefined);
  });
}
