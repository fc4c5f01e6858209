// A verifier's visit in a browser that runs no script at all: nothing of it may need one. axe cannot run there; the same pages are looked at
// in term.spec.ts.
import { Centre, type Person } from './centre.js';
import { port } from './settings.js';
import { expect, test, type Browser } from '@playwright/test';

const centre = new Centre(port);

async function pageOf(browser: Browser, who: Person) {
  const context = await browser.newContext();
  await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}` }]);
  return context.newPage();
}

test('a verifier visits without JavaScript', async ({ browser }) => {
  const assurer = await pageOf(browser, await centre.person('rathmell'));
  await assurer.goto('/visits');
  await assurer.getByLabel('Name').fill('Anselm Thornbury');
  await assurer.getByLabel('Unit').selectOption('BSX-207');
  await assurer.getByLabel('What the visit is for').fill('How safely it is commissioned.');
  await assurer.getByLabel('Last day').fill(new Date(Date.now() + 7 * 86_400_000).toISOString().slice(0, 10));
  await assurer.getByLabel('Everything that was signed off or sent back').check();
  await assurer.getByRole('button', { name: 'Arrange it' }).click();
  const link = await assurer.getByLabel("The visit's link").inputValue();

  const context = await browser.newContext({ javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(link);
  await page.getByRole('button', { name: 'Open the visit' }).click();
  await expect(page.locator('main')).toContainText('How safely it is commissioned.');
  const first = page.locator('#list').getByRole('link').first();
  await first.click();
  const attempt = new URL(page.url()).pathname;
  expect(attempt).toMatch(/^\/visit\/attempts\//);
  await page.getByLabel('I confirm it').check();
  await page.getByRole('button', { name: 'Keep it' }).click();
  expect(new URL(page.url()).pathname).toBe(attempt);
  await expect(page.getByLabel('I confirm it')).toBeVisible();

  // A photo of it opens, byte for byte as an image.
  const photo = await page.locator('main a[href*="/files/"]').first().getAttribute('href');
  const bytes = await page.request.get(photo!);
  expect(bytes.headers()['content-type']).toMatch(/^image\//);

  await page.getByLabel('What is to be done').fill('Show the meter in the photo.');
  await page.getByLabel('Who', { exact: true }).selectOption({ label: 'Kwabena Rathmell' });
  await page.getByLabel('By', { exact: true }).fill('2099-01-01');
  await page.getByRole('button', { name: 'Keep the action' }).click();
  await page.goto('/visit');
  await expect(page.locator('main')).toContainText('Show the meter in the photo.');
  await expect(page.locator('main')).toContainText(/confirm/i);
  expect((await page.goto('/sampling'))!.status(), 'the visit is all that the link opens').toBeGreaterThanOrEqual(400);

  // It can read the decision log, and take what proves it.
  await page.goto('/log');
  await expect(page.locator('main')).toContainText('decision log');
});
