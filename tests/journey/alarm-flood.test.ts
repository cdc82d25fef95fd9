import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { nameless, openPage, stickingOut, untilSays } from '../support/page.ts';

/**
 * Fourteen benches of 40 °C at once, 13.3 K over the ceiling of 26.7 °C: air far over its ceiling is announced by the first
 * reading. And a dome whose alarm has no delay and no deadband, that is over its ceiling three times in a minute.
 */
const BENCHES = Array.from({ length: 14 }, (_, i) => `bench-${i + 1}`);

let browser: Browser;
let daemon: Daemon;
let device: Publisher;

/** Readings 8 s apart, the last of them some seconds ago. */
async function reportAir(id: string, values: readonly number[], lastAgoS = 0): Promise<void> {
  const records = values.map((v, i) => {
    return { n: 'air/temperature', u: 'Cel', v, t: (i - values.length + 1) * 8 - lastAgoS };
  });
  await device.publish({ topic: readingsTopic(id), payload: JSON.stringify(records) });
}

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon();
  device = await connectPublisher({ url: daemon.mqttUrl });
  await reportAir('dome', [22], 60);
  const ceilingAlarm = { onDelayMs: 0, offDelayMs: 0, deadbandK: 0 };
  const { status } = await daemon.patch('/api/v1/places/dome', { settings: { ceilingAlarm } });
  expect(status).toBe(200);
  await reportAir('dome', [28, 26, 28, 26, 28, 26]);
  for (const id of BENCHES) await reportAir(id, [40]);
});

afterAll(async () => {
  await device.close();
  await browser.close();
  await daemon.close();
});

test.each([360, 1024])(
  'on a page %i px wide, light or dark, a flood is said with its first alarm, and one that repeats is marked; nothing sticks out',
  async (widthPx) => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const open = await openPage(browser, { url: `${daemon.httpUrl}/#/alarms`, widthPx, colorScheme });
      await untilSays(open.page, {
        selector: '[data-testid=flood-notice]',
        text: /17 alarms in 10 minutes.*First was dome: air over its ceiling/,
      });
      await untilSays(open.page, {
        selector: '[data-testid=alarm-block]',
        text: /dome: air over its ceiling, 3 times since/,
      });
      expect(await stickingOut(open.page)).toEqual([]);
      expect((await nameless(open.page)).without).toEqual([]);
      expect(open.complaints()).toEqual([]);
      await open.close();
    }
  },
);
