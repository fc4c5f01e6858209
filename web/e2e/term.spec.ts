// A term of a centre, played short: people come from a list and an instrument into the register, their work is judged, sampled and
// cleared, tutors judge it blind, a verifier visits, the unit is claimed, and three years later it is erased.
import { expect, test, type Page } from '@playwright/test';
import { cleanOnBoth } from './look.js';
import { marked } from './marking.js';
import { close, standardise, threeYearsOn, visit } from './term-after.js';
import { enterInstrument, issue, sample, takeIn, work } from './term-work.js';
import { centre, cohort, names, pageOf, run, unit } from './term.js';

async function ready(page: Page) {
  await page.goto('/claims');
  await page.getByLabel('Unit').selectOption(unit);
  await page.getByText('Of some cohorts only').click();
  await page.getByLabel(cohort, { exact: true }).check();
  await page.getByRole('button', { name: 'Show them' }).click();
}

test('a term, from a list of people to what is left of it after three years', async ({ browser }) => {
  test.setTimeout(420_000);
  const manager = await pageOf(browser, await centre.person('farrowby'));
  const assurer = await pageOf(browser, await centre.person('rathmell'));
  await takeIn(manager);
  await enterInstrument(await pageOf(browser, await centre.person('halvorsen')));
  const brief = await issue(assurer);
  const { tutor, trainees, attempts } = await work(browser, manager, brief);
  await ready(manager);
  await expect(manager.locator('#rest')).toContainText('waits to be sampled and cleared');

  await assurer.goto(`/alike/readings/${attempts.join('/')}`);
  await expect(assurer.locator('main')).toContainText('People share rigs');
  await cleanOnBoth(assurer, 'two sets of readings');
  await sample(browser, assurer, tutor, attempts);
  await standardise(browser, assurer, brief);
  await visit(browser, assurer);

  // While what the verifier asked for is open nothing is claimed for whose work it is about.
  await ready(manager);
  await expect(manager.locator('#ready')).toContainText(names[1]);
  await expect(manager.locator('#rest')).toContainText(names[0]);
  await expect(manager.locator('#rest')).toContainText('an action that is still open');
  await cleanOnBoth(manager, 'who is ready');
  await close(manager, assurer);

  await ready(manager);
  for (const n of names) await expect(manager.locator('#ready')).toContainText(n);
  await manager.getByRole('button', { name: 'Claim for those chosen' }).click();
  await expect(manager.locator('#claim tbody tr')).toHaveCount(2);
  await expect(manager.locator('#claim')).toContainText(`HBS-T-0-${run}`);
  await cleanOnBoth(manager, 'a claim');
  for (const a of attempts) expect((await marked(centre, tutor, a)).state).toBe('claimed');

  await threeYearsOn(manager, assurer, tutor, trainees[1], attempts);
});
