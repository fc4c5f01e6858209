// A brief being written in a real browser: what is typed is looked at while it is typed, the sheet turns over, and without any
// script every button does the same.
import { expect, test, type Browser, type Page } from '@playwright/test';

const password = 'bay-seven-demo';

async function signedIn(browser: Browser, who: string, options = {}): Promise<Page> {
  const page = await (await browser.newContext(options)).newPage();
  await page.goto('/sign-in');
  await page.getByLabel('Sign-in name').fill(who);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByRole('button', { name: 'Sign out' })).toBeVisible();
  return page;
}

const key = () => `bay-9-${Date.now().toString(36)}${Math.random().toString(36).slice(2, 6)}`;
const formula = '[name="stages[1].items[2].figure.formula"]';

/** Fills in what the fresh sheet lacks before it could be published, all but the formula. */
async function fill(page: Page, name: string) {
  await page.locator('[name="title"]').fill('Bay 9: in a browser');
  await page.locator('[name="key"]').fill(name);
  await page.locator('[name="criteria[0].unit"]').fill('BSX-207');
}

test('what is typed is looked at at once, at its field and in its line', async ({ browser }) => {
  const page = await signedIn(browser, 'ellingham');
  await page.goto('/briefs/new');
  await fill(page, key());
  await page.locator('#b-stages-1--items-2- > summary').click();
  await page.locator(formula).fill('(tf − tx) / 2');
  await expect(page.locator('#b-stages-1--items-2--figure-formula-mend')).toContainText('There is no "tx" here');
  await expect(page.locator(formula)).toHaveAttribute('aria-invalid', 'true');
  await expect(page.locator('#b-stages-1--items-2--figure-formula-set math').first()).toBeAttached();
  await page.locator(formula).fill('tf − tr');
  await expect(page.locator('#b-stages-1--items-2--figure-formula-mend')).toBeEmpty();
  await expect(page.locator(formula)).not.toHaveAttribute('aria-invalid');

  // An item is added without the page being loaded again: a mark on the document stays.
  await page.evaluate(() => { document.documentElement.dataset.mark = 'here'; });
  await page.locator('#b-stages-0--items-form').selectOption('choice');
  await page.getByRole('button', { name: 'Add another item' }).first().click();
  await expect(page.locator('[name="stages[0].items[1].title"]')).toBeFocused();
  await expect(page.locator(formula)).toHaveValue('tf − tr');
  expect(await page.evaluate(() => document.documentElement.dataset.mark)).toBe('here');
  await page.getByRole('button', { name: 'Take item 2 out' }).first().click();
  await expect(page.locator('[name="stages[0].items[1].title"]')).toHaveCount(0);

  await page.getByRole('button', { name: "Turn over: the file's text" }).click();
  const text = page.locator('#source');
  await expect(text).toHaveValue(/title: "Bay 9: in a browser"/);
  await text.fill((await text.inputValue()).replace('title:', 'titel:'));
  const place = page.locator('#checked').getByRole('button', { name: /Line 3, column 1/ });
  await expect(place).toBeVisible();
  await expect(page.locator('#checked')).toContainText('Did you mean “title”?');
  await place.click();
  await expect(text).toBeFocused();
  expect(await text.evaluate((t: HTMLTextAreaElement) => t.value.slice(t.selectionStart).slice(0, 5))).toBe('titel');
});

test('a brief is written, asked about, sent back and published without any script', async ({ browser }) => {
  const name = key();
  const page = await signedIn(browser, 'ellingham', { javaScriptEnabled: false });
  await page.goto('/briefs/new');
  await fill(page, name);
  const press = async (button: string) => { // a page that is sent before it has come whole is not taken
    await page.waitForLoadState();
    await page.getByRole('button', { name: button }).click();
  };
  await press('Add given value');
  await page.locator('[name="given[0].name"]').fill('most');
  await page.locator('[name="given[0].is"]').fill('the most that is allowed');
  await page.locator('[name="given[0].value"]').fill('80 °C');
  await press("Turn over: the file's text");
  await expect(page.locator('#source')).toHaveValue(/name: most/);
  await press('Turn over: the form');
  for (const [item, value] of [['0', '60'], ['1', '50'], ['2', '10']]) {
    await expect(page.locator(`#b-stages-1--items-${item}-`)).toHaveAttribute('open'); // something in it is to be mended
    for (const field of await page.locator(`[name^="stages[1].items[${item}].model["][name$=".text"]`).all()) await field.fill(value);
  }
  await page.locator('[name="stages[1].items[2].model[0].working"]').fill('60 − 50 = 10 K');
  await press('Save the draft');
  await page.getByLabel('To whoever checks it').fill('The limit is new.');
  await page.getByRole('button', { name: 'Ask for it to be checked' }).click();
  await expect(page.locator('#check')).toContainText('somebody else has to check and publish it');

  const at = new URL(page.url()).pathname;
  const other = await signedIn(browser, 'rathmell', { javaScriptEnabled: false });
  await other.goto(at);
  await expect(other.locator('#check')).toContainText('The limit is new.');
  await other.locator('summary', { hasText: 'Send it back' }).click();
  await other.getByLabel('What is to be put right').fill('Which thermometer?');
  await other.getByRole('button', { name: 'Send it back' }).click();
  await page.reload();
  await expect(page.locator('#check')).toContainText('Which thermometer?');
  await page.getByRole('button', { name: 'Ask for it to be checked' }).click();
  await other.goto(`${at}/work`);
  await expect(other.locator('.notice').first()).toContainText('marks itself full');
  await other.goto(at);
  await other.getByRole('button', { name: 'I have checked it: publish' }).click();
  await expect(other.getByRole('status')).toContainText('never changes');
});
