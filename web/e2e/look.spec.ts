// Every page of the demonstration with all that folds unfolded, looked at by axe on a laptop in light and on a small phone
// in dark, and for sideways scrolling.
import { clean, violations } from './look.js';
import { expect, test, type Page } from '@playwright/test';

const password = 'bay-seven-demo';

/** Pages by who looks at them at what; a selector follows the first link of that kind on the page before. The longest come
 * first, so that no worker is left with one at the end. */
const walks: [string, string, string[]][] = [
  ['ellingham', 'evidence', ['/bench', 'main a[href^="/attempts/"]', 'main a[href$="/mark-sheet"]']],
  ['ellingham', 'briefs', ['/briefs', 'main a[href^="/briefs/0"]', 'main a[href$="/work"]', 'main a[href$="model=1"]', '/briefs', 'main a[href^="/briefs/0"]', 'main a[href$="/try"]', '/briefs/new']],
  ['ellingham', 'work under way', ['/cohorts', 'main a:has-text("Heating 1, day release")', '#waits a']],
  ['ellingham', 'cohorts, functions and rules', ['/cohorts', 'main a[href^="/cohorts/"]', '/functions?find=velocity', '/rules', 'main a[href^="/rules/0"]', '/rules/new']],
  ['sian', 'tasks', ['/tasks', 'main a[href^="/attempts/"]', 'main a[href$="/feedback"]']],
  ['jayden', 'tasks', ['/tasks', 'main a[href^="/attempts/"]']],
  ['ellingham', 'a term and numbers', ['/cohorts', 'main a[href^="/cohorts/"]', 'main a[href$="/term"]', 'main a[href*="/trainees/"]', '/briefs', 'main a[href^="/briefs/0"]', 'main a[href$="/numbers"]']],
  ['farrowby', 'people and portfolios', ['/people', '/second-looks', '/cohorts', 'main a[href^="/cohorts/"]', '/portfolios']],
];

async function step(page: Page, to: string) {
  if (to.startsWith('/')) await page.goto(to);
  else await page.goto((await page.locator(to).first().getAttribute('href'))!);
}

for (const [colorScheme, width] of [['light', 1280], ['dark', 320]] as const) {
  for (const [who, what, walk] of walks) {
    test(`${who}'s pages of ${what} in ${colorScheme}`, async ({ browser }) => {
      const page = await (await browser.newContext({ colorScheme, viewport: { width, height: 900 } })).newPage();
      await page.goto('/sign-in');
      await page.getByLabel('Sign-in name').fill(who);
      await page.getByLabel('Password').fill(password);
      await page.getByRole('button', { name: 'Sign in' }).click();
      await expect(page.getByRole('button', { name: 'Sign out' })).toBeVisible();
      for (const to of walk) {
        await step(page, to);
        await clean(page, `${page.url()} at ${width}`);
      }
    });
  }

  test(`the page to sign in on in ${colorScheme}`, async ({ browser }) => {
    const page = await (await browser.newContext({ colorScheme, viewport: { width, height: 900 } })).newPage();
    await page.goto('/sign-in');
    await clean(page, `${page.url()} at ${width}`);
  });
}

test('axe is heard when something is wrong', async ({ page }) => {
  await page.goto('/sign-in');
  await page.evaluate(() => {
    document.querySelector('label')!.remove();
    document.querySelector('h1')!.style.color = '#bbb'; // on a light page
  });
  expect((await violations(page)).map((v) => v.split(':')[0])).toEqual(['color-contrast', 'label']);
});
