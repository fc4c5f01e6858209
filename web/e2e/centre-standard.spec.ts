// A quality assurer looks at the standardisations and the small files, rules on a criterion, and opens an inquiry.
import { Centre } from './centre.js';
import { clean, cleanOnBoth } from './look.js';
import { password, port } from './settings.js';
import { expect, test } from '@playwright/test';

test('a quality assurer rules on a criterion, and sees what it puts in question', async ({ page }) => {
  await page.goto('/sign-in');
  await page.getByLabel('Sign-in name').fill('rathmell');
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.goto('/standardisations');
  await clean(page, 'standardisations');
  await page.getByRole('link', { name: 'Rulings on criteria' }).click();
  await page.getByLabel('Criterion').selectOption({ index: 1 });
  await page.getByLabel('How it is to be read').fill('Three readings, each written down.');
  await page.getByLabel('Holds from').fill('2099-01-01');
  await page.getByLabel('Which earlier decisions it puts in question').selectOption('both');
  await page.getByRole('button', { name: 'Make it' }).click();
  await expect(page.getByText('Nothing that was decided has changed.')).toBeVisible();
  await clean(page, 'a ruling');
  await page.goto('/files');
  await clean(page, 'small files');

  const trainee = await new Centre(port).newTrainee('Wilmot Ashgrove');
  await page.goto('/inquiries/new');
  await page.getByLabel('Whom it concerns').fill(trainee.signInName);
  await page.getByLabel('What is suspected').fill('Two sheets are in one hand.');
  await page.getByRole('button', { name: 'Open the file' }).click();
  await page.getByLabel('What you found, or what was said to you').fill('He says that his left arm was in plaster, and that a friend wrote.');
  await page.getByRole('button', { name: 'Put it in' }).click();
  await expect(page.locator('main')).toContainText('in plaster');
  await cleanOnBoth(page, 'an inquiry');
});
