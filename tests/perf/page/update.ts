import { setTimeout as sleep } from 'node:timers/promises';
import type { CDPSession } from 'playwright-core';
import { readingsTopic } from '../../../firmware-contracts/v1/topics.ts';
import { connectPublisher } from '../../support/mqttPublisher.ts';
import { untilSays } from '../../support/page.ts';
import type { Figure } from '../figure.ts';
import { allCharts, type PageAsked } from './loads.ts';
import { taskMs } from './task-time.ts';

const EVERY_MS = 250;

/** Main thread of the page for one live update, less what the page does by itself in the same time. */
export async function liveUpdate({ browser, wire, daemon, ids, sizes }: PageAsked): Promise<Figure[]> {
  const context = await browser.newContext({
    viewport: { width: 1920, height: 1080 },
    serviceWorkers: 'block',
  });
  const page = await context.newPage();
  await page.goto(wire.url);
  await allCharts(page, ids.length);
  await wire.quiet(500);
  const session = await context.newCDPSession(page);
  // the processor's time, as other work on the machine may keep the page waiting
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  const updates = sizes.pageUpdates;
  const idleMs = await busyMs(session, () => sleep(updates * EVERY_MS));
  const device = await connectPublisher({ url: daemon.mqttUrl });
  const publish = async () => {
    for (let k = 0; k < updates; k += 1) {
      const id = ids[k % ids.length] ?? '';
      const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: 20 + (k % 7) / 10 }]);
      await device.publish({ topic: readingsTopic(id), payload });
      await sleep(EVERY_MS);
    }
  };
  const workingMs = await busyMs(session, publish);
  const last = (20 + ((updates - 1) % 7) / 10).toFixed(1);
  const lastId = ids[(updates - 1) % ids.length];
  await untilSays(page, { selector: `[data-place="${lastId}"]`, text: last });
  await device.close();
  await context.close();
  const value = Math.max((workingMs - idleMs) / updates, 0.01);
  return [{ name: `page of ${ids.length} benches, a live update, main thread`, value, unit: 'ms' }];
}

async function busyMs(session: CDPSession, meanwhile: () => Promise<unknown>): Promise<number> {
  const before = await taskMs(session);
  await meanwhile();
  return (await taskMs(session)) - before;
}
