// Every page of the demonstration with all that folds unfolded, looked at by axe on a laptop in light and on a small phone
// in dark, and for sideways scrolling.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';

const password = 'bay-seven-demo';

/** Pages by who looks at them; a name in brackets follows the first link of that kind on the page before. */
const walks: Record<string, string[]> = {
  sian: ['/tasks', 'main a[href^="/attempts/"]'],
  jayden: ['/tasks', 'main a[href^="/attempts/"]'],
  ellingham: ['/bench', 'main a[href^="/attempts/"]', '/cohorts', 'main a[href^="/cohorts/"]', '/functions?find=velocity', '/briefs', 'main a[href^="/briefs/0"]', 'main a[href$="/try"]', 'main a[href$="model=1"]', '/briefs/new', '/rules', 'main a[href^="/rules/0"]', '/rules/new'],
  farrowby: ['/people', '/cohorts', 'main a[href^="/cohorts/"]', '/portfolios'],
};

async function step(page: Page, to: string) {
  if (to.startsWith('/')) await page.goto(to);
  else await page.goto((await page.locator(to).first().getAttribute('href'))!);
}

for (const [colorScheme, width] of [['light', 1280], ['dark', 320]] as const) {
  for (const [who, walk] of Object.entries(walks)) {
    test(`${who}'s pages in ${colorScheme}`, async ({ browser }) => {
      const page = await (await browser.newContext({ colorScheme, viewport: { width, height: 900 } })).newPage();
      await page.goto('/sign-in');
      expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
      await page.getByLabel('Sign-in name').fill(who);
      await page.getByLabel('Password').fill(password);
      await page.getByRole('button', { name: 'Sign in' }).click();
      await expect(page.getByRole('button', { name: 'Sign out' })).toBeVisible();
      for (const to of walk) {
        await step(page, to);
        await page.evaluate(() => document.querySelectorAll('details').forEach((d) => (d.open = true)));
        const sideways = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        expect(sideways, `${page.url()} at ${width}`).toBe(0);
        const { violations } = await new AxeBuilder({ page }).analyze();
        expect(violations.map((v) => `${v.id}: ${v.nodes[0].target} ${v.help}`), `${page.url()} at ${width}`).toEqual([]);
      }
    });
  }
}
