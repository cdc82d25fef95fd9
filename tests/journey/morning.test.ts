import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { pngOf } from '../../server/adapters/smtp/png.ts';
import { morningHtml, STRIP_WIDTH_PX } from '../../server/domain/mail/morning-mail.ts';
import { stripPicture } from '../../server/domain/mail/strip-picture.ts';
import { nightAnswerSchema } from '../../shared/wire/places/night.ts';
import { morningSheetOf } from '../../shared/words/morning/sheet.ts';
import { morningZone, nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { openPage, stickingOut, untilSays } from '../support/page.ts';

/** A morning after a night at 24 benches: its questions on the page, on paper, and in a mail program. */
let browser: Browser;
let daemon: Daemon;
const timeZone = morningZone(Date.now());

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: timeZone } });
  await reportBenches(daemon, nightBenches());
}, 90_000);
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

async function nightPage() {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/night` });
  onTestFinished(() => opened.close());
  await opened.page.getByTestId('night-questions').waitFor();
  return opened;
}

test('answers the fifteen questions, names the hot bench, counts the others, and a number says where it comes from', async () => {
  const { page, complaints } = await nightPage();
  const questions = page.locator('[data-testid=night-questions] li');
  expect(await questions.count()).toBe(15);
  const hottest = questions.nth(1);
  await hottest.getByText(/^Bench 18: Highest air /).waitFor();
  await hottest
    .getByText(/^Not known of |places did not go above the ceiling\.$/)
    .first()
    .waitFor();
  await hottest.getByTestId('explain').first().click();
  await untilSays(page, { selector: '[data-testid=explain-dialog]', text: '31.0 °C' });
  expect(complaints()).toEqual([]);
});

/** What is measured in mm on paper, at 96 px to the inch. */
const MM_PX = 96 / 25.4;

async function boxesOf(page: Page, selector: string) {
  return page.locator(selector).evaluateAll((elements) =>
    elements
      .filter((element) => element.getClientRects().length > 0)
      .map((element) => {
        const { width, height, right } = element.getBoundingClientRect();
        return { width, height, right };
      }),
  );
}

test.each([
  ['A4', 718],
  ['Letter', 740],
] as const)(
  'on %s each next step has a box of 4 mm, and lines of 20 mm for time and initials, within the sheet',
  async (format, widthPx) => {
    const { page } = await nightPage();
    expect(await boxesOf(page, '.ticks')).toEqual([]);
    const pdf = await page.pdf({ format });
    expect(pdf.subarray(0, 5).toString('latin1')).toBe('%PDF-');
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize({ width: widthPx, height: 1_000 });
    const boxes = await boxesOf(page, '.ticks .box');
    expect(boxes.length).toBeGreaterThanOrEqual(4);
    for (const { width, height } of boxes) {
      expect(width).toBeGreaterThanOrEqual(4 * MM_PX - 1);
      expect(height).toBeGreaterThanOrEqual(4 * MM_PX - 1);
    }
    for (const line of ['.ticks .time', '.ticks .initials']) {
      const lines = await boxesOf(page, line);
      expect(lines).toHaveLength(boxes.length);
      for (const { width, right } of lines) {
        expect(width).toBeGreaterThanOrEqual(20 * MM_PX - 1);
        expect(right).toBeLessThanOrEqual(widthPx);
      }
    }
    expect(await stickingOut(page)).toEqual([]);
    expect(await page.locator('.night-questions li:visible').count()).toBe(15);
    const ink = await page.evaluate(() => getComputedStyle(document.body).color);
    expect(ink).toBe('rgb(0, 0, 0)');
  },
);

test('in a mail program of 360 px and one of 1,024 nothing sticks out, and each strip is shown and said', async () => {
  const night = nightAnswerSchema.parse((await daemon.get('/api/v1/night')).body);
  const sheet = morningSheetOf(night, { timeZone, link: `${daemon.httpUrl}/#/night` });
  expect(sheet.rows.length).toBeGreaterThanOrEqual(5);
  const html = morningHtml(sheet, { message: '', foot: 'It only monitors.', pictureId: (row) => `p${row}` });
  const shown = sheet.rows.reduce((text, { strip }, i) => {
    const png = pngOf(stripPicture(strip, STRIP_WIDTH_PX)).toString('base64');
    return text.replace(`cid:p${i}"`, `data:image/png;base64,${png}"`);
  }, html);
  const page = await browser.newPage();
  onTestFinished(() => page.close());
  for (const width of [360, 1_024]) {
    await page.setViewportSize({ width, height: 800 });
    await page.setContent(shown);
    const pictures = await page.locator('img').evaluateAll((images) =>
      images.map((image) => {
        const { naturalWidth, width: shownPx, alt } = image as HTMLImageElement;
        return { naturalWidth, shownPx, alt };
      }),
    );
    expect(pictures).toHaveLength(sheet.rows.length);
    for (const [i, { naturalWidth, shownPx, alt }] of pictures.entries()) {
      expect(naturalWidth).toBe(2 * STRIP_WIDTH_PX);
      expect(shownPx).toBeLessThanOrEqual(width);
      expect(alt).toBe(`${sheet.rows[i]?.name}: ${sheet.rows[i]?.sentence}`);
    }
    expect(await stickingOut(page)).toEqual([]);
  }
  expect(await page.locator('ol > li').count()).toBe(15);
});
