import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { isAcknowledged } from '../support/acknowledged.ts';
import { launchBrowser } from '../support/browser.ts';
import { untilReady } from '../support/daemon.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { openPage, untilSays } from '../support/page.ts';
import { freePort } from '../support/ports.ts';
import { openRecord } from '../support/record.ts';
import { SMALL_DISKS, type SmallDiskKind, startOnSmallDisk } from '../support/small-disk.ts';
import { until } from '../support/wait.ts';

const houseSchema = z.object({
  store: z.object({ writable: z.boolean(), since: z.iso.datetime().nullable() }),
  room: z.object({ freeBytes: z.number() }),
});
const seriesSchema = z.object({ points: z.array(z.object({ value: z.number().nullable() })) });

async function started(kind: SmallDiskKind) {
  const folder = temporaryFolder('small');
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const settings = { STRIKEWELL_HTTP_PORT: String(httpPort), STRIKEWELL_MQTT_PORT: String(mqttPort) };
  const disk = startOnSmallDisk({ kind, folder, settings });
  const httpUrl = `http://127.0.0.1:${httpPort}`;
  onTestFinished(async () => {
    await disk.child.end('SIGTERM');
    removeFolder(folder);
  });
  await untilReady({ httpUrl, hasEnded: disk.child.hasEnded, said: disk.child.stderr });
  const get = async (path: string): Promise<unknown> => (await fetch(`${httpUrl}/api/v1${path}`)).json();
  const house = async () => houseSchema.parse(await get('/house'));
  return { disk, httpUrl, broker: { url: `mqtt://127.0.0.1:${mqttPort}` }, get, house };
}
type Started = Awaited<ReturnType<typeof started>>;

const startMs = Math.floor(Date.now() / 1000) * 1000 - 3_600_000;

/** Publishes the nth reading on a connection of its own; true when it was acknowledged. */
async function report({ broker, house }: Started, n: number): Promise<boolean> {
  const device = await connectPublisher(broker);
  const point = {
    probe: 'air/temperature',
    unit: 'Cel',
    value: 20 + (n % 50) / 10,
    atMs: startMs + n * 1_000,
  };
  const published = device.publish({ topic: readingsTopic('bench-1'), payload: packOf([point]) });
  const taken = await isAcknowledged(published, async () => (await house()).store.writable);
  await device.abandon();
  return taken;
}

/** Publishes on until one is not acknowledged; returns which. */
async function untilRefused(daemon: Started, from: number): Promise<number> {
  for (let n = from; n < from + 2_000; n += 1) if (!(await report(daemon, n))) return n;
  throw new Error('2,000 packs were acknowledged on a full disk');
}

async function valuesRead({ get }: Started): Promise<number> {
  const span = [startMs - 1_000, startMs + 3_600_000].map((ms) => new Date(ms).toISOString());
  const query = new URLSearchParams({ quantity: 'airTemperatureC', from: span[0] ?? '', to: span[1] ?? '' });
  const { points } = seriesSchema.parse(await get(`/places/bench-1/series?${query}`));
  return points.filter(({ value }) => value !== null).length;
}

test.each(SMALL_DISKS)(
  'full, on %s: nothing more is acknowledged, reads go on, every page says so, and room alone mends it',
  async (kind) => {
    const daemon = await started(kind);
    for (let n = 0; n < 20; n += 1) expect(await report(daemon, n)).toBe(true);
    expect((await daemon.house()).store).toEqual({ writable: true, since: null });
    daemon.disk.fill();
    const refused = await untilRefused(daemon, 20);
    const { store } = await daemon.house();
    expect(store.writable).toBe(false);
    expect(Math.abs(Date.now() - Date.parse(store.since ?? ''))).toBeLessThan(60_000);
    // what was not stored was judged, and is shown
    expect(await valuesRead(daemon)).toBe(refused + 1);

    const browser = await launchBrowser();
    onTestFinished(() => browser.close());
    const { page } = await openPage(browser, { url: `${daemon.httpUrl}/#/alarms` });
    await untilSays(page, { selector: '[data-testid="store-notice"]', text: /cannot be written/ });

    daemon.disk.free();
    const mended = async () => ((await daemon.house()).store.writable ? true : null);
    await until(mended, { what: 'a record that is written again', withinMs: 15_000 });
    await page.locator('[data-testid="store-notice"] p').waitFor({ state: 'detached' });
    for (let n = refused; n < refused + 10; n += 1) expect(await report(daemon, n)).toBe(true);
    // a file system of the daemon's own cannot be opened from here, but copied; nothing is written meanwhile
    const copy = temporaryFolder('copy');
    for (const name of ['strikewell.db', 'strikewell.db-wal'])
      copyFileSync(join(daemon.disk.dataDir, name), join(copy, name));
    const record = openRecord(copy);
    const stored = record.readings('bench-1').map(({ tMs }) => (tMs - startMs) / 1_000);
    expect(stored).toEqual(Array.from({ length: refused + 10 }, (_, n) => n));
    expect(record.integrity()).toBe('ok');
    record.close();
    console.log(`${kind}: pack ${refused} was the first not acknowledged`);
  },
);
