// A brief that was wrong: its next version is put in the place of the one that attempts were marked under.
import { expect, test } from '@playwright/test';
import { Centre } from './centre.js';
import { cleanOnBoth } from './look.js';
import { handedIn, marked, markingBrief, publish } from './marking.js';
import { port } from './settings.js';

test('a tolerance that was too wide is corrected: who loses is read first, and counts once somebody says so', async ({ browser }) => {
  const centre = new Centre(port);
  const ellingham = await centre.person('ellingham');
  const tutor = await centre.newPerson('tutor', 'Tess Barker');
  const source = markingBrief();
  const brief = await publish(centre, ellingham, source);
  const [first] = await handedIn(centre, [tutor], 3, 1, brief);
  await publish(centre, ellingham, source.replace('tolerance: {relative: 3 %}', 'tolerance: {relative: 0.05 %}'), source);
  const verdict = async () => (await centre.json<any>(tutor, 'GET', `/api/attempts/${first}`)).stages.flatMap((s: any) => s.items).find((i: any) => i.key === 'heat').lines[0].finding.verdict;
  expect(await verdict()).toBe('correct');

  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  await context.addCookies([{ name: 'wm', value: tutor.cookie, url: `http://127.0.0.1:${port}` }]);
  const page = await context.newPage();
  await page.goto(`/briefs/${brief}/2/differences`);
  await expect(page.locator('main')).toContainText('0.05 %');
  await cleanOnBoth(page, 'the differences between two versions');
  await page.goto(`/briefs/${brief}/corrections`);
  await cleanOnBoth(page, 'corrections');
  await page.getByLabel('What was wrong').fill('Three per cent lets a misread meter through.');
  await page.getByRole('button', { name: 'Mark them again' }).click();
  await expect(page.getByRole('button', { name: 'Let it take effect' })).toBeVisible();
  await expect(page.locator('main')).toContainText('2 attempts come out otherwise'); // the third was wrong before
  await cleanOnBoth(page, 'the report of a correction');
  expect(await verdict()).toBe('correct'); // nothing counts yet
  await page.getByRole('button', { name: 'Let it take effect' }).click();
  await expect.poll(verdict).not.toBe('correct');
  expect((await marked(centre, tutor, first)).state).toBe('checked');
});
