import type { Browser, Page, Response } from 'playwright-core';
import { answerFault, jsonIn } from './answer-check.ts';
import { until } from './wait.ts';

export type OpenPage = {
  readonly page: Page;
  /** what the browser complained of so far: errors on its console, refused by its policy, or thrown by the page */
  complaints(): readonly string[];
  close(): Promise<void>;
};

export type PageOptions = {
  readonly url: string;
  /** CSS px; a desk's by default */
  readonly widthPx?: number;
  readonly heightPx?: number;
  readonly colorScheme?: 'light' | 'dark';
};

/**
 * Opens a page in a context of its own, with nothing kept from others.
 *
 * @param browser the running browser
 * @param options address, size and colours
 * @returns the page, once the daemon has sent it the state of the installation
 */
export async function openPage(browser: Browser, options: PageOptions): Promise<OpenPage> {
  const { url, widthPx = 1280, heightPx = 900, colorScheme = 'light' } = options;
  const viewport = { width: widthPx, height: heightPx };
  const context = await browser.newContext({ viewport, colorScheme, locale: 'en-GB' });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(`${message.text()} ${message.location().url}`);
  });
  page.on('response', (response) => {
    void faultIn(response).then((fault) => fault !== null && complaints.push(fault));
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  await page.goto(url);
  await page.locator('[data-testid=link-state][data-state=live]').waitFor();
  return { page, complaints: () => complaints, close: () => context.close() };
}

/** What does not fit the table of routes in an answer that the page got; null for nothing. */
async function faultIn(response: Response): Promise<string | null> {
  const contentType = response.headers()['content-type'] ?? null;
  if (!contentType?.includes('json')) return null;
  // a page that was left takes its answers with it
  const text = await response.text().catch(() => '');
  const { pathname } = new URL(response.url());
  const method = response.request().method();
  return answerFault({ method, path: pathname, status: response.status(), contentType, body: jsonIn(text) });
}

/**
 * Waits until an element says something.
 *
 * @param page an open page
 * @param wanted its `data-testid` or selector, the text, and for how long at most
 * @throws Error when it does not
 */
export async function untilSays(
  page: Page,
  wanted: { readonly selector: string; readonly text: string | RegExp; readonly withinMs?: number },
): Promise<void> {
  const { selector, text, withinMs = 10_000 } = wanted;
  await page.locator(selector).filter({ hasText: text }).first().waitFor({ timeout: withinMs });
}

/**
 * What sticks out to the right of the window, but for what lies in a box of its own that scrolls.
 *
 * @param page an open page
 * @returns one line for each, with by how many px; the document itself first
 */
export function stickingOut(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    const scrolls = (element: Element): boolean =>
      /auto|scroll/.test(getComputedStyle(element).overflowX) ||
      (element.parentElement !== null && scrolls(element.parentElement));
    const out = [...document.body.querySelectorAll('*')].flatMap((element) => {
      const overPx = element.getBoundingClientRect().right - clientWidth;
      const isSeen = element.closest('.unseen, svg, [hidden]') === null;
      const parent = element.parentElement;
      if (overPx < 1 || !isSeen || (parent !== null && scrolls(parent))) return [];
      return [`${element.tagName} ${element.className} ${Math.round(overPx)} px`];
    });
    return scrollWidth > clientWidth ? [`document ${scrollWidth - clientWidth} px`, ...out] : out;
  });
}

/** Roles of the accessibility tree that a person works or looks at, and that must say what they are. */
const NAMED_ROLES =
  /^(button|link|textbox|searchbox|combobox|listbox|radio|checkbox|slider|spinbutton|switch|DisclosureTriangle|Date|DateTime|InputTime|image|img|progressbar|meter)$/;

/**
 * What of the page has a role but no name, as the browser itself computes names for those who hear the page.
 *
 * @param page an open page
 * @returns the roles without a name, and how many have one
 */
export async function nameless(page: Page): Promise<{ without: string[]; named: number }> {
  const session = await page.context().newCDPSession(page);
  const { nodes } = await session.send('Accessibility.getFullAXTree');
  // it stays attached: one that leaves takes the virtual authenticators of all others with it
  const controls = nodes
    .filter((node) => !node.ignored && NAMED_ROLES.test(String(node.role?.value)))
    .map((node) => ({ role: String(node.role?.value), name: String(node.name?.value ?? '').trim() }));
  const without = controls.filter(({ name }) => name === '').map(({ role }) => role);
  return { without, named: controls.length - without.length };
}

/**
 * Goes with the Tab key, forwards or back, until the element that has the focus fits.
 *
 * @param page an open page
 * @param wanted the selector it must match, and the key
 * @throws Error when 100 presses do not reach it
 */
export async function tabTo(
  page: Page,
  wanted: { readonly selector: string; readonly key?: 'Tab' | 'Shift+Tab' },
): Promise<void> {
  const { selector, key = 'Tab' } = wanted;
  let presses = 0;
  const press = async () => {
    presses += 1;
    if (presses > 100) throw new Error(`100 presses do not reach ${selector}`);
    await page.keyboard.press(key);
    return page.evaluate((css) => document.activeElement?.matches(css) === true || null, selector);
  };
  await until(press, { what: `focus on ${selector}`, withinMs: 20_000, everyMs: 1 });
}
