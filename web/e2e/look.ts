// What others say of our pages: Lighthouse, and axe.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, type Page } from '@playwright/test';
import lighthouse from 'lighthouse';

/** Lighthouse's scores of 100, by category, of a page in the browser that listens for debuggers on the port. It looks at the
 * page as a middling phone over a slow connection, both simulated. */
export async function scores(url: string, port: number, categories: string[]): Promise<{ scores: Record<string, number>; failed: string[] }> {
  const result = await lighthouse(url, { port, output: 'json', logLevel: 'silent', onlyCategories: categories, disableStorageReset: true });
  if (!result) throw new Error('Lighthouse gave no result');
  const { lhr } = result;
  if (lhr.runWarnings.length > 0) throw new Error(`Lighthouse did not see all of it: ${lhr.runWarnings.join(' ')}`);
  const refs = Object.values(lhr.categories).flatMap((c) => c.auditRefs.filter((r) => r.weight > 0).map((r) => r.id));
  return {
    scores: Object.fromEntries(Object.entries(lhr.categories).map(([name, c]) => [name, Math.round((c.score ?? 0) * 100)])),
    failed: refs.filter((id) => (lhr.audits[id].score ?? 1) < 1).map((id) => `${id}: ${lhr.audits[id].title} ${lhr.audits[id].displayValue ?? ''}`),
  };
}

/** What axe finds wrong on the page. It runs in the page alone ("legacy", which sees no frames: there are none), and describes
 * nothing that is right: on a page of four thousand elements that is a quarter of the work, of the same rules on the same
 * elements. */
export async function violations(page: Page): Promise<string[]> {
  expect(page.frames()).toHaveLength(1);
  const { violations } = await new AxeBuilder({ page }).setLegacyMode().options({ resultTypes: ['violations'] }).analyze();
  return violations.map((v) => `${v.id}: ${v.nodes[0].target} ${v.help}`);
}

/** Unfolds the page, and holds it against axe and against scrolling sideways. */
export async function clean(page: Page, where: string) {
  await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = true; }));
  const sideways = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(sideways, where).toBe(0);
  expect(await violations(page), where).toEqual([]);
}
