// Every page of the demonstration with all that folds unfolded, looked at by axe on a laptop in light and on a small phone
// in dark, and for sideways scrolling.
import { Centre } from './centre.js';
import { clean, violations } from './look.js';
import { port } from './settings.js';
import { expect, test, type Browser, type Page } from '@playwright/test';

const centre = new Centre(port);

/** A page of somebody's own, who is signed in when named. */
async function pageOf(browser: Browser, colorScheme: 'light' | 'dark', width: number, who?: string): Promise<Page> {
  const context = await browser.newContext({ colorScheme, viewport: { width, height: 900 } });
  if (who) await context.addCookies([{ name: 'wm', value: (await centre.person(who)).cookie, url: `http://127.0.0.1:${port}`, httpOnly: true, sameSite: 'Lax' }]);
  return context.newPage();
}

/** Pages by who looks at them at what; a selector follows the first link of that kind on the page before, "press" its button,
 * "+" goes below its address.
 * "by" is only on the way: another step looks at that page. The longest come first, so that no worker is left with one at the end. */
const walks: [string, string, string[]][] = [
  ['ellingham', 'evidence', ['/bench', 'main a[href^="/attempts/"]', 'main a[href$="/mark-sheet"]']],
  ['ellingham', 'briefs', ['/briefs', 'main a[href^="/briefs/0"]', 'main a[href$="/work"]', 'main a[href$="model=1"]', 'by /briefs', 'by main a[href^="/briefs/0"]', 'main a[href$="/try"]', 'by /briefs', 'by main a[href^="/briefs/0"]', '+/blank', '/briefs/new', '/stock-remarks']],
  ['ellingham', 'work under way', ['by /cohorts', 'main a:has-text("Heating 1, day release")', '#waits a']],
  ['ellingham', 'cohorts, functions and rules', ['/cohorts', 'main a[href^="/cohorts/"]', '/functions?find=velocity', '/rules', 'main a[href^="/rules/0"]', '/rules/new']],
  ['sian', 'tasks', ['/tasks', 'main a[href^="/attempts/"]', 'main a[href$="/feedback"]']],
  ['jayden', 'tasks', ['/tasks', 'main a[href^="/attempts/"]']],
  ['ellingham', 'a term and numbers', ['by /cohorts', 'by main a[href^="/cohorts/"]', 'main a[href$="/term"]', 'main a[href*="/trainees/"]', 'by /briefs', 'by main a[href^="/briefs/0"]', 'main a[href$="/numbers"]']],
  ['farrowby', 'people and units', ['/centre', '/people/list', '/conflicts', '/units', '/units/new?from=BSX-114', '/people', 'main a[href^="/people/0"]']],
  ['rathmell', 'a disagreement, and readings in question', ['/sampling', 'main a[href^="/samples/"] >> nth=1', 'main a[href*="/attempts/"]', '/instruments', 'main a:has-text("Contact thermometer 1")', 'main a[href*="/touched/"]']],
  ['rathmell', 'sampling and actions', ['/sampling', 'main a[href^="/sampling/"]', 'by /sampling', 'main a[href^="/samples/"]', 'main a[href*="/attempts/"]', 'by /sampling', 'by main a[href^="/samples/"]', 'main a[href$="/again"]', '/actions']],
  ['farrowby', 'claims', ['/claims', 'press Show them']],
  ['halvorsen', 'instruments', ['/centre', '/stop', '/instruments/list', '/instruments', 'main a[href^="/instruments/0"]']],
  ['rathmell', 'standardisation, rulings and small files', ['/standardisations', 'main a[href^="/standardisations/0"]', '/standardisations', 'main a[href^="/standardisations/0"] >> nth=1', '/standardisations/new', '/rulings', 'main a[href^="/rulings/0"]', '/files', '/prior-learning', 'main a[href^="/prior-learning/0"]', '/inquiries/new']],
  ['ellingham', 'what is judged blind, and photos that are alike', ['/standardisations', 'main a[href^="/standardisations/0"]', 'main a[href*="/attempts/"]', '/alike']],
  ['farrowby', 'visits, keeping and the log', ['/visits', 'main a[href^="/visits/0"]', '/keeping', '/log', 'main a[href^="/log/entries/"]', '/log/entries/0']],
  ['ellingham', 'a brief to be changed and copied', ['by /briefs', 'by main a[href^="/briefs/0"]', 'main a[href$="/edit"]', 'by /briefs', 'by main a[href^="/briefs/0"]', 'main a[href$="/copy"]']],
  ['ellingham', 'rules that are used', ['by /rules', 'by main a[href^="/rules/0"]', '+/concerned', 'by /rules', 'by main a[href^="/rules/0"]', '+/edit']],
  ['jayden', 'a code card', ['by /tasks', 'by main a[href^="/attempts/"]', '+/card', '/stop']],
  ['ellingham', 'two photos side by side', ['by /alike', 'main a[href^="/alike/pictures/"]']],
  ['farrowby', 'the members of a cohort', ['by /cohorts', 'by main a[href^="/cohorts/"]', 'main a[href$="/members"]']],
  ['farrowby', 'second looks and portfolios', ['/second-looks', '/cohorts', 'main a[href^="/cohorts/"]', '/portfolios']],
];

async function step(page: Page, to: string) {
  if (to.startsWith('/')) await page.goto(to);
  else if (to.startsWith('+')) await page.goto(page.url() + to.slice(1));
  else if (to.startsWith('press ')) await page.getByRole('button', { name: to.slice('press '.length), exact: true }).click();
  else await page.goto((await page.locator(to).first().getAttribute('href'))!);
}

for (const [colorScheme, width] of [['light', 1280], ['dark', 320]] as const) {
  for (const [who, what, walk] of walks) {
    test(`${who}'s pages of ${what} in ${colorScheme}`, async ({ browser }) => {
      const page = await pageOf(browser, colorScheme, width, who);
      for (const to of walk) {
        await step(page, to.replace(/^by /, ''));
        if (!to.startsWith('by ')) await clean(page, `${page.url()} at ${width}`);
      }
    });
  }

  test(`a verifier's pages in ${colorScheme}`, async ({ browser }) => {
    const { token } = await centre.json<{ token: string }>(await centre.person('farrowby'), 'POST', '/api/visits', {
      name: 'Ambrose Quillon', unit: 'BSX-207', words: 'The yearly look.', ends_on: new Date().toISOString().slice(0, 10),
    });
    const page = await pageOf(browser, colorScheme, width);
    for (const to of [`/visit/open/${token}`, 'press Open the visit', '/log', '/visit/more']) {
      await step(page, to);
      await clean(page, `${page.url()} at ${width}`);
    }
    await page.getByLabel('How many').fill('1');
    for (const to of ['press Draw them', 'main a[href^="/visit/attempts/0"]']) {
      await step(page, to);
      await clean(page, `${page.url()} at ${width}`);
    }
  });

  test(`pages that take no account in ${colorScheme}`, async ({ browser }) => {
    const page = await pageOf(browser, colorScheme, width);
    for (const path of ['/no-signal', '/sign-in', '/forgotten', '/verify']) {
      await page.goto(path);
      await clean(page, `${page.url()} at ${width}`);
    }
    await page.getByText('Somebody outside signed the log').click();
    await page.getByLabel('The later state').setInputFiles({ name: 'later.txt', mimeType: 'text/plain', buffer: Buffer.from('no state') });
    await clean(page, `${page.url()} with a witness at ${width}`);
    await page.getByLabel('The portfolio, a PDF').setInputFiles({ name: 'torn.pdf', mimeType: 'application/pdf', buffer: Buffer.from('%PDF-1.7') });
    await page.getByRole('button', { name: 'Check it' }).click();
    await expect(page.getByRole('alert')).toContainText('no later state of a log');
    await clean(page, `${page.url()} with something to mend at ${width}`);
    await page.getByLabel('The portfolio, a PDF').setInputFiles({ name: 'torn.pdf', mimeType: 'application/pdf', buffer: Buffer.from('%PDF-1.7') });
    await page.getByRole('button', { name: 'Check it' }).click();
    await expect(page.getByRole('status')).toContainText('cut short');
    await clean(page, `${page.url()} with an answer at ${width}`);
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

test('one text that is too pale is heard among many that look alike', async ({ page }) => {
  await page.goto('/sign-in');
  await page.evaluate(() => document.querySelector('main')!.append(...Array.from({ length: 40 }, (_, i) => {
    const p = document.createElement('p');
    p.append(Object.assign(document.createElement('span'), { textContent: `Row ${i}` }));
    if (i === 20) p.style.opacity = '0.4';
    return p;
  })));
  expect((await violations(page)).map((v) => v.split(':')[0])).toEqual(['color-contrast']);
});
