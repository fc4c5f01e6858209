// A trainee leaves, is withdrawn, and comes back: the form on their page, at a desk and as wide as a phone.
import { Centre, type Person } from './centre.js';
import { cleanOnBoth } from './look.js';
import { port } from './settings.js';
import { expect, test, type Browser } from '@playwright/test';

const centre = new Centre(port);

async function pageOf(browser: Browser, who: Person) {
  const context = await browser.newContext();
  await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}` }]);
  return context.newPage();
}

test('a manager withdraws a trainee who leaves, and takes it back', async ({ browser }) => {
  const trainee = await centre.newTrainee('Petronella Oakshott');
  const attempt = await centre.attempt(trainee);
  const page = await pageOf(browser, await centre.person('farrowby'));
  const words = 'She moves to Bergen.';
  await page.goto(`/people/${trainee.id}`);
  const form = page.locator('#withdraw');
  await expect(form.getByLabel('Last day')).toBeHidden();
  await form.locator('summary').click();
  await expect(form).toContainText('1 open attempt closes as withdrawn.');
  await cleanOnBoth(page, 'somebody who can be withdrawn');

  // What is missing, or not so yet, is asked for again, and what was typed is kept.
  await form.getByLabel('Last day').fill('2099-01-01');
  await form.getByLabel('Why').fill(words);
  await form.getByRole('button', { name: 'Withdraw them' }).click();
  await expect(form.getByRole('button', { name: 'Withdraw them' })).toBeVisible(); // unfolded
  await expect(form.locator('.mend').first()).toBeVisible();
  await expect(form.getByLabel('Why')).toHaveValue(words);
  await cleanOnBoth(page, 'a withdrawal to be mended');
  await form.getByLabel('Last day').fill(new Date().toISOString().slice(0, 10));
  await form.getByRole('button', { name: 'Withdraw them' }).click();
  await expect(page.getByText('They are withdrawn. 1 open attempt is closed.')).toBeVisible();
  await expect(page.locator('#leaving')).toContainText(words);
  await expect(page.locator('#withdraw')).toHaveCount(0);
  expect((await centre.sheet(attempt)).state).toBe('withdrawn');
  await cleanOnBoth(page, 'somebody who was withdrawn');

  // Her tutor and she herself read that she left, and not why.
  for (const [who, at] of [[await centre.person('ellingham'), `/people/${trainee.id}`], [trainee, attempt.path]] as const) {
    const other = await pageOf(browser, who);
    const answer = await other.goto(at);
    expect(answer!.status()).toBe(200);
    await expect(other.locator('main')).toContainText(/withdrawn/i);
    await expect(other.locator('body')).not.toContainText(words);
    await cleanOnBoth(other, `withdrawn, as ${who.name} reads it`);
  }

  await page.setViewportSize({ width: 360, height: 740 });
  await page.reload();
  await page.getByText('Take it back').first().click();
  await page.getByLabel('Why it is taken back').fill('It was her sister.');
  await page.getByRole('button', { name: 'Take it back' }).click();
  await expect(page.getByText('The withdrawal is taken back.')).toBeVisible();
  await expect(page.locator('#leaving')).toContainText('Taken back by Imelda Farrowby');
  expect((await centre.sheet(attempt)).state).toBe('open');
  await cleanOnBoth(page, 'a withdrawal that was taken back');
});
