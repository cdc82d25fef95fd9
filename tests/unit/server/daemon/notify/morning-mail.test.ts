import { inflateSync } from 'node:zlib';
import { expect, onTestFinished, test } from 'vitest';
import { STRIP_PALETTE } from '../../../../../server/domain/mail/strip-picture.ts';
import { startMailServer } from '../../../../support/smtp.ts';
import { clockByHand, comingRoundEvery } from '../../support/hand.ts';
import { START_MS, startHouse } from '../../support/house.ts';
import { realCarrier } from '../../support/real-carrier.ts';
import { recordsOf, type Values } from '../../support/ruled.ts';

/** The morning sheet as a mail program receives it, from a real mail server. */
const MINUTE_MS = 60_000;
const GOOD: Values = { 'air/temperature': 16, 'air/humidity': 90, 'root/temperature': 23 };

async function mailedMorning() {
  const server = await startMailServer();
  onTestFinished(() => server.close());
  const hand = comingRoundEvery(clockByHand(START_MS), MINUTE_MS);
  const { carrier, idle } = realCarrier(hand, server.url);
  const house = startHouse({ hand, carrier, webhookUrl: null });
  const robin = house.daemon.people.add({ name: 'Robin', quiet: null });
  house.daemon.people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
  const course = async (values: Values, hours: number) => {
    for (let n = 0; n < hours * 6; n++) {
      await house.report(recordsOf(values));
      hand.pass(10 * MINUTE_MS);
      await idle();
    }
  };
  await course({ ...GOOD, 'air/temperature': 22 }, 11);
  await course(GOOD, 2);
  house.daemon.orders.patchPlace('bench-1', { name: 'Bench <1> & "2"', settings: { questionsOpen: false } });
  await course({ ...GOOD, 'air/temperature': 33 }, 1);
  await course(GOOD, 4);
  await course({ ...GOOD, 'root/temperature': 17 }, 2);
  await course(GOOD, 2);
  const night = house.daemon.queries.night(null);
  house.daemon.stop();
  const mail = server.mails.find(({ headers }) => headers['subject']?.startsWith('Morning sheet'));
  if (!mail) throw new Error(`no morning sheet among ${server.mails.length} mails`);
  return { mail, night };
}

test('goes out as text and HTML with the sentences of the page and a picture of the strip, whose alternative is the sentence', async () => {
  const { mail, night } = await mailedMorning();
  expect(mail.headers['content-type']).toMatch(/^multipart\//);
  expect(mail.parts.map(({ type }) => type)).toEqual(['text/plain', 'text/html', 'image/png']);
  const [, page, picture] = mail.parts;
  const html = page?.content.toString('utf8') ?? '';
  const [row] = night.places;
  // the sheet was written at 07:00, the night asked for later: what happened in it is the same
  expect(mail.text).toContain('Air was 6.3 °C over its ceiling for');
  expect(row?.sentence).toContain('Air was 6.3 °C over its ceiling for');
  expect(html).toContain('Air was 6.3 °C over its ceiling for');
  expect(html).toContain(`src="cid:${picture?.id}"`);
  expect(/alt="([^"]*)"/.exec(html)?.[1]).toMatch(/^Bench &lt;1&gt; &amp; &quot;2&quot;: Air was 6\.3 °C/);
  expect(html).not.toContain('<1>');
  expect(html).toContain('href="https://bench.example/#/night/2026-06-02"');
  for (const part of [html, mail.text]) {
    expect(part).toContain('Do next: ');
    expect(part).toContain('What was the highest air temperature, when, and how far over the ceiling?');
    expect(part).toContain('Highest air 33.0 °C at ');
    expect(part).toContain('Strikewell only monitors.');
  }
  expect(html).not.toMatch(/<script|<svg|javascript:|https?:\/\/(?!bench\.example)/);
});

test('its picture is a PNG of 1,120 pixels across with the hatches of what was too hot and too cold in their colours', async () => {
  const { mail } = await mailedMorning();
  const png = mail.parts.find(({ type }) => type === 'image/png')?.content ?? Buffer.alloc(0);
  const { width, height, pixels, palette } = readPng(png);
  expect([width, palette]).toEqual([1_120, STRIP_PALETTE.map((colour) => [...colour])]);
  expect(height).toBeGreaterThan(40);
  const shareOf = (entry: number) => pixels.filter((one) => one === entry).length / pixels.length;
  const [above, below] = [shareOf(6), shareOf(5)];
  // an hour of eleven above and two below, each hatched over a part of the height
  expect(above).toBeGreaterThan(0.005);
  expect(below).toBeGreaterThan(0.005);
  expect(above + below).toBeLessThan(0.3);
  // within an eighth of a megabyte a mail is no burden
  expect(png.length).toBeLessThan(20_000);
});

/** @source PNG: 8 bytes of signature, chunks of length, type, data and CRC; rows begin with the number of their filter */
function readPng(png: Buffer) {
  expect(png.subarray(0, 8).toString('hex')).toBe('89504e470d0a1a0a');
  const chunks = new Map<string, Buffer>();
  for (let at = 8; at < png.length; ) {
    const length = png.readUInt32BE(at);
    chunks.set(png.toString('latin1', at + 4, at + 8), png.subarray(at + 8, at + 8 + length));
    at += length + 12;
  }
  const header = chunks.get('IHDR') ?? Buffer.alloc(13);
  const [width, height] = [header.readUInt32BE(0), header.readUInt32BE(4)];
  expect([...header.subarray(8)]).toEqual([8, 3, 0, 0, 0]);
  const rows = inflateSync(chunks.get('IDAT') ?? Buffer.alloc(0));
  const pixels = Array.from({ length: height }, (_, y) => [
    ...rows.subarray(y * (width + 1) + 1, (y + 1) * (width + 1)),
  ]).flat();
  const colours = chunks.get('PLTE') ?? Buffer.alloc(0);
  const palette = Array.from({ length: colours.length / 3 }, (_, i) => [
    ...colours.subarray(3 * i, 3 * i + 3),
  ]);
  return { width, height, pixels, palette };
}
