// What a trainee does on an attempt's page, written down as it is done.
import { expect, type Locator, type Page } from '@playwright/test';
import type { Deeds } from './oracle.js';
import { jpeg, photo } from './photo.js';

/** The fields of one line, by its name. */
export const lineOf = (page: Page, name: string) => page.locator(`[data-attempt] .line[data-line="${name}"]`);
const text = (line: Locator) => line.locator('[name^="text:"]');

/** Types into a line. */
export async function type(page: Page, deeds: Deeds, name: string, value: string) {
  await text(lineOf(page, name)).fill(value);
  deeds.typed(name, value);
}

/** Ticks a line, or chooses one of its options. */
export async function tick(page: Page, deeds: Deeds, name: string, option?: string) {
  const all = text(lineOf(page, name));
  const field = option === undefined ? all.first() : lineOf(page, name).locator(`[name^="text:"][value="${option}"]`);
  await field.check();
  deeds.typed(name, (await field.getAttribute('value'))!);
}

/** Chooses photos for an item. */
export async function take(page: Page, deeds: Deeds, item: string, photos: Buffer[]) {
  const form = page.locator(`form.upload[data-item="${item}"]`).first();
  await form.locator('input[type=file]').last().setInputFiles(photos.map((b, i) => jpeg(`${item}-${i + 1}.jpg`, b)));
  for (const b of photos) deeds.took(item, b);
}

/** Does the short brief but for its photos. */
export async function short(page: Page, deeds: Deeds, planned = 14) {
  await tick(page, deeds, 'risk');
  await type(page, deeds, 'pressure@as-found', '0.6');
  await type(page, deeds, 'pressure@as-left', '1.2');
  for (const [name, value] of [['qv', '12.4'], ['tf', '69.8'], ['tr', '51.3']]) await type(page, deeds, name, value);
  await lineOf(page, 'heat').locator('[name^="working:"]').fill('12.4 ÷ 60 × 0.9875 × 4.183 × (69.8 − 51.3) = 15.8');
  await type(page, deeds, 'heat', '15.8');
  await tick(page, deeds, 'enough', planned <= 15.5 ? 'it does' : 'it does not');
}

/** Fills every line of a page, whatever it asks for, and gives every item that takes photos what it wants. */
export async function everything(page: Page, deeds: Deeds, seed: number) {
  await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = true; }));
  const lines = await page.locator('[data-attempt] .line[data-line]').evaluateAll((all) => all.map((l) => {
    const fields = Array.from(l.querySelectorAll<HTMLInputElement>('[name^="text:"]'));
    const first = fields[0];
    return { name: (l as HTMLElement).dataset.line!, kind: first?.tagName === 'INPUT' ? first.type : first?.tagName.toLowerCase() ?? '', value: first?.value, mode: first?.inputMode };
  }));
  for (const [i, l] of lines.entries()) {
    if (l.kind === 'checkbox') await tick(page, deeds, l.name);
    else if (l.kind === 'radio') await tick(page, deeds, l.name, l.value);
    else if (l.kind === 'select') {
      const field = text(lineOf(page, l.name));
      await field.selectOption({ index: 1 });
      deeds.typed(l.name, await field.inputValue());
    } else if (l.kind === 'textarea') await type(page, deeds, l.name, `Seen and written down, ${seed}-${i}.`);
    else if (l.kind) await type(page, deeds, l.name, l.mode === 'decimal' ? `${40 + i}.${seed % 10}` : `noted ${i}`);
  }
  const items = await page.locator('.item form.upload[data-item]').evaluateAll((all) => all
    .map((f) => ({ item: (f as HTMLElement).dataset.item!, many: Number((f.closest('.item') as HTMLElement).dataset.files ?? 0) })));
  let n = 0;
  for (const { item, many } of items.filter((f) => f.many > 0)) {
    await take(page, deeds, item, Array.from({ length: many }, () => photo(60_000 + 1000 * n, seed * 1000 + n++)));
  }
}

export async function handOver(page: Page) {
  await page.locator('#hand-over input[name=own_work]').check();
  await page.getByRole('button', { name: 'Hand over to your tutor' }).click();
}

/** The words that stand beside a line about where it is. */
export const said = (page: Page, name: string) => lineOf(page, name).locator('.sent').first();

export { expect };
