// What the parts of a term share: the names that a run goes by, and people with a page each.
import type { Browser, Page } from '@playwright/test';
import { Centre, type Person } from './centre.js';
import { port } from './settings.js';

export const centre = new Centre(port);
// A server that is used again has the last run's term.
export const run = Date.now().toString(36);
export const [unit, cohort, plan] = [`TRM-${run}`.toUpperCase(), `Short term ${run}`, `Term ${run}`];
export const names = ['Oriel Fennimar', 'Tamsin Breckwater'];
export const day = (from: number) => new Date(Date.now() + from * 24 * 3600_000).toISOString().slice(0, 10);

/** A page of somebody's own; of nobody's where nobody is named. */
export async function pageOf(browser: Browser, who?: Person): Promise<Page> {
  const context = await browser.newContext();
  if (who) await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}`, httpOnly: true, sameSite: 'Lax' }]);
  const page = await context.newPage();
  page.on('pageerror', (trouble) => { throw trouble; });
  return page;
}
