// What others say of our pages: Lighthouse, and axe.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, type Page } from '@playwright/test';
import axe from 'axe-core';
import lighthouse from 'lighthouse';
import { appendFileSync } from 'node:fs';
import { join } from 'node:path';
import { dataFolder } from './settings.js';

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

/** axe, with its rule of colours kept to what oneOfEachLook marks. */
const axeSource = `${axe.source}; axe.configure({ rules: [{ id: 'color-contrast', selector: '[data-look]' }] });`;

/** Marks the first and the last text of each look: nine tenths of axe's work went into the colours of thousands of rows that all
 * look the same. Two texts look the same when tag, class and computed style are, their own and those of all around them. */
function oneOfEachLook() {
  const looks = new Map<string, number>();
  const styles = new Map<Element, number>();
  const lookOf = (e: Element): number => {
    const known = styles.get(e);
    if (known !== undefined) return known;
    const s = getComputedStyle(e);
    const look = [e.parentElement ? lookOf(e.parentElement) : '', e.localName, e.getAttribute('class'), e.matches(':disabled, [aria-disabled=true]'),
      s.color, s.backgroundColor, s.backgroundImage, s.opacity, s.fontSize, s.fontWeight, s.position, s.textShadow, s.filter].join('|');
    if (!looks.has(look)) looks.set(look, looks.size);
    styles.set(e, looks.get(look)!);
    return looks.get(look)!;
  };
  const [first, last] = [new Map<number, Element>(), new Map<number, Element>()];
  document.querySelectorAll('[data-look]').forEach((e) => e.removeAttribute('data-look'));
  for (const e of document.body.querySelectorAll('*')) {
    const text = e.matches('input, select, textarea') || Array.from(e.childNodes).some((n) => n.nodeType === Node.TEXT_NODE && n.textContent!.trim());
    if (!text || !e.checkVisibility({ visibilityProperty: true })) continue;
    const look = lookOf(e);
    if (!first.has(look)) first.set(look, e);
    last.set(look, e);
  }
  for (const e of [...first.values(), ...last.values()]) e.setAttribute('data-look', '');
}

/** What axe finds wrong on the page. It runs in the page alone ("legacy", which sees no frames: there are none), and describes
 * nothing that is right: on a page of four thousand elements that is a quarter of the work, of the same rules on the same
 * elements. */
export async function violations(page: Page): Promise<string[]> {
  expect(page.frames()).toHaveLength(1);
  await page.evaluate(oneOfEachLook);
  const { violations } = await new AxeBuilder({ page, axeSource }).setLegacyMode().options({ resultTypes: ['violations'] }).analyze();
  return violations.map((v) => `${v.id}: ${v.nodes[0].target} ${v.help}`);
}

/** A line for each page that was looked at: every-page.spec.ts says which never was. */
export interface Looked { path: string; dark: boolean; width: number }
export const lookedAt = () => join(dataFolder(), 'looked-at');

/** Unfolds the page, and holds it against axe and against scrolling sideways. What is laid out only once it is scrolled to would
 * move while axe looks, so that it took one thing's place for another's: all of it is laid out first. */
export async function clean(page: Page, where: string) {
  await page.evaluate(() => {
    document.querySelectorAll('details').forEach((d) => { d.open = true; });
    document.querySelectorAll<HTMLElement>('.judged').forEach((s) => { s.style.contentVisibility = 'visible'; });
  });
  const { sideways, ...looked } = await page.evaluate(() => ({
    path: location.pathname, dark: matchMedia('(prefers-color-scheme: dark)').matches, width: innerWidth,
    sideways: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  }));
  expect(sideways, where).toBe(0);
  expect(await violations(page), where).toEqual([]);
  appendFileSync(lookedAt(), `${JSON.stringify(looked satisfies Looked)}\n`);
}

/** The page as a laptop shows it in light and a small phone in dark, each clean; then it is as it was. */
export async function cleanOnBoth(page: Page, where: string) {
  const before = page.viewportSize();
  for (const [colorScheme, width] of [['light', 1280], ['dark', 320]] as const) {
    await page.emulateMedia({ colorScheme });
    await page.setViewportSize({ width, height: 900 });
    await clean(page, `${where} at ${width}`);
  }
  await page.emulateMedia({ colorScheme: null });
  if (before) await page.setViewportSize(before);
}
