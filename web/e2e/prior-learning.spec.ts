// From a claim of prior learning to a certificate that may rest on it: recognised by a tutor, looked at by a quality assurer.
import { Centre, type Person } from './centre.js';
import { clean, cleanOnBoth } from './look.js';
import { port } from './settings.js';
import { expect, test, type Browser } from '@playwright/test';

const centre = new Centre(port);

async function pageOf(browser: Browser, who: Person) {
  const context = await browser.newContext();
  await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}` }]);
  return context.newPage();
}

test('a quality assurer looks at all that was recognised before a certificate rests on it', async ({ browser }) => {
  const trainee = await centre.newTrainee('Odile Farthingworth');
  await centre.attempt(trainee, { planned: true }); // a cohort of hers, which Ellingham teaches
  const hers = await pageOf(browser, trainee);
  await hers.goto('/prior-learning');
  await hers.getByRole('button', { name: 'Show its criteria' }).click();
  const boxes = hers.locator('input[name=criteria]');
  const refs = await boxes.evaluateAll((all) => all.slice(0, 2).map((box) => (box as HTMLInputElement).value));
  const [code] = refs[0].split('/');
  for (const i of refs.keys()) await boxes.nth(i).check();
  await hers.getByLabel('What was learned and shown').fill('A year with a heating firm in Bergen; the owner wrote a letter.');
  await hers.getByRole('button', { name: 'Claim it' }).click();
  await hers.getByLabel('A document or photo').setInputFiles('rig.jpg');
  await hers.getByRole('button', { name: 'Add it' }).click();
  await expect(hers.getByText('The file is kept.')).toBeVisible();
  const at = new URL(hers.url()).pathname;

  const tutor = await pageOf(browser, await centre.person('ellingham'));
  for (let i = 0; i < refs.length; i++) {
    await tutor.goto(at);
    const form = tutor.locator('#decisions form').first();
    await form.getByLabel('met', { exact: true }).check();
    await form.getByLabel('What it rests on').fill('The letter names the plant and the year.');
    await form.getByRole('button', { name: 'Decide' }).click();
  }
  await expect(tutor.getByText('waits for an internal quality assurer')).toHaveCount(2);
  await expect(tutor.locator('#look')).toHaveCount(0);
  await cleanOnBoth(tutor, 'recognised');

  const rathmell = await pageOf(browser, await centre.person('rathmell'));
  await rathmell.goto('/centre');
  await expect(rathmell.getByText(/ha(s|ve) what an internal quality assurer has yet to look at/)).toBeVisible();
  await rathmell.goto(at);
  await cleanOnBoth(rathmell, 'prior learning to be looked at');
  await rathmell.getByLabel('agree, with an action').check();
  await rathmell.getByRole('button', { name: 'Keep it' }).click();
  await expect(rathmell.locator('#look')).toContainText('Say what you found');
  await rathmell.getByLabel(refs[1], { exact: true }).uncheck();
  await rathmell.getByLabel('What you saw').fill('The letter bears no date.');
  await rathmell.getByLabel('What is to be done').fill('Ask the owner for the dates.');
  await rathmell.getByLabel('Who does it').selectOption({ label: 'Morag Ellingham' });
  await rathmell.getByLabel('By when').fill('2099-01-01');
  await rathmell.getByRole('button', { name: 'Keep it' }).click();
  await expect(rathmell.getByText('It is kept: agree, with an action.')).toBeVisible();
  await expect(rathmell.getByText('To be done before a claim')).toContainText('Ask the owner for the dates.');
  await rathmell.locator('#look').getByLabel('disagree').check();
  await rathmell.getByLabel('What you saw').fill('The letter says nothing of this.');
  await rathmell.getByRole('button', { name: 'Keep it' }).click();
  await expect(rathmell.locator('#look')).toHaveCount(0);
  await cleanOnBoth(rathmell, 'looked at, with an action and a disagreement');

  await hers.goto(at);
  await expect(hers.locator('#decisions')).toContainText('It is out of use, and counts as met no more.');
  await clean(hers, 'a claim of one’s own that was disagreed with');
  await rathmell.goto(`/claims/ready?unit=${encodeURIComponent(code)}`);
  await expect(rathmell.getByRole('row', { name: /^Odile Farthingworth/ })).toContainText(`The prior learning recognised for ${refs[0].split('/')[1]} has an action that is still open.`);
});
