import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';

const SOURCE = readFileSync(new URL('../../node_modules/axe-core/axe.min.js', import.meta.url), 'utf8');
const STANDARDS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

type Axe = {
  run(
    context: Document,
    options: object,
  ): Promise<{ violations: { id: string; nodes: { target: unknown[]; failureSummary?: string }[] }[] }>;
};

/**
 * What of a page breaks WCAG 2.2 AA, as far as axe-core can tell.
 *
 * @param page an open page
 * @param only one rule; all of the standard unless given
 * @returns one line for each element, none where all is well
 */
export async function axeFaults(page: Page, only: string | null = null): Promise<string[]> {
  const isThere = await page.evaluate(() => 'axe' in globalThis);
  // as the debugger: the policy of the page lets no other script in
  if (!isThere) await page.evaluate(SOURCE);
  return page.evaluate(
    async ({ standards, rule }) => {
      const { axe } = globalThis as unknown as { axe: Axe };
      const runOnly = rule === null ? { type: 'tag', values: standards } : { type: 'rule', values: [rule] };
      const { violations } = await axe.run(document, { runOnly, resultTypes: ['violations'] });
      return violations.flatMap(({ id, nodes }) =>
        nodes.map(
          ({ target, failureSummary = '' }) => `${id} ${target.join(' ')}: ${failureSummary.slice(0, 160)}`,
        ),
      );
    },
    { standards: STANDARDS, rule: only },
  );
}
