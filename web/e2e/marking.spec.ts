// An evening's marking by keyboard, held against what the centre has afterwards.
import { expect, test as base, type Browser, type Page } from '@playwright/test';
import { Centre, type Person } from './centre.js';
import { clean } from './look.js';
import { handedIn, marked } from './marking.js';
import { password, port } from './settings.js';

const test = base.extend<{ centre: Centre; tutor: Person }>({
  centre: async ({}, use) => { await use(new Centre(port)); },
  tutor: async ({ centre }, use) => { await use(await centre.newPerson('tutor', 'Tess Barker')); },
});

/** A browser of the person's own. What goes wrong in its pages fails the test. */
async function browserOf(browser: Browser, who: Person, options = {}): Promise<Page> {
  const context = await browser.newContext(options);
  await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}` }]);
  const page = await context.newPage();
  page.on('pageerror', (trouble) => { throw trouble; });
  return page;
}

const said = (page: Page) => page.locator('#said');
const criterion = (page: Page, ref: string) => page.locator(`.judged[data-criterion="${ref}"]`);
const [one, two, three] = ['BSX-207/1.1', 'BSX-207/1.2', 'BSX-207/4.1'];

/** Tabs until the focus is on what the selector names. */
async function tabTo(page: Page, selector: string) {
  for (let i = 0; i < 60; i++) {
    await page.keyboard.press('Tab');
    if (await page.evaluate((s) => document.activeElement?.matches(s), selector)) return;
  }
  throw new Error(`no way by Tab to ${selector}`);
}

/** Goes to the next open criterion, which has to be the one named. */
async function open(page: Page, ref: string) {
  await page.keyboard.press('c');
  await expect(criterion(page, ref).locator(':focus'), `c goes to ${ref}`).toHaveCount(1);
}

test('ten attempts are marked by keyboard alone', async ({ browser, centre, tutor }) => {
  test.setTimeout(420_000);
  const ids = await handedIn(centre, [tutor], 10);
  await centre.json(tutor, 'PUT', '/api/stock-remarks', { remarks: ['Neat work.', 'sufficient: Show the whole pump.'] });
  const page = await browserOf(browser, tutor);
  const { keyboard } = page;
  for (const input of ['click', 'tap', 'hover'] as const) (page.mouse as any)[input] = () => { throw new Error('by keyboard alone'); };
  await page.goto('/bench');
  await tabTo(page, 'main a[href^="/attempts/"]');
  await keyboard.press('Enter');
  for (const [i, id] of ids.entries()) {
    await expect(page).toHaveURL(new RegExp(id));
    await expect(page.locator('h1')).toHaveText(new RegExp(`^Trainee .${i}$`));
    await keyboard.press('n');
    await expect(page.locator('#item-before')).toBeFocused();
    await keyboard.press('n');
    await expect(page.locator('#item-hazards')).toBeFocused();
    await keyboard.press('m');
    await expect(said(page)).toHaveText(`Kept: ${one} met. u takes it back.`);
    if (i === 0) { // the wrong key
      await keyboard.press('u');
      await expect(said(page)).toHaveText(`Taken back: ${one} is open again.`);
      await expect(criterion(page, one).locator(':focus')).toHaveCount(1);
      await keyboard.press('m');
      await expect(criterion(page, one).locator('svg.witness')).toBeVisible();
    }
    await open(page, two);
    if (i === 1) {
      await keyboard.press('q');
      await keyboard.type('How did you bleed the meter?');
      await keyboard.press('Control+Enter');
      await expect(criterion(page, two)).toContainText('To be asked:');
      await keyboard.press('Escape');
      await keyboard.press('q');
      await keyboard.type('From the top, twice.');
      await keyboard.press('Control+Enter');
      await expect(criterion(page, two)).toContainText('From the top, twice.');
      await keyboard.press('Escape');
    }
    if (i % 4 === 3) { // a stock remark says which respect as well
      await keyboard.press('2');
      await keyboard.press('Control+Enter');
    } else {
      await keyboard.press('1');
      await keyboard.press('m');
    }
    await expect(criterion(page, two).locator('svg.witness')).toBeVisible();
    await open(page, three);
    if (i % 3 === 2) { // its heat has two digits changed round
      await expect(page.locator('#item-heat')).toContainText('not right yet');
      await keyboard.press('x');
      await keyboard.type('v');
      await keyboard.press('Tab');
      await keyboard.type('Look at the heat again: m, n and g are letters here.');
      await keyboard.press('Control+Enter');
    } else await keyboard.press('m');
    await expect(criterion(page, three).locator('svg.witness')).toBeVisible();
    await keyboard.press('f');
    if (i % 3 === 2 || i % 4 === 3) {
      for (const words of ['Good photos.', 'The heat.', 'Work it again.']) {
        await keyboard.type(words);
        await keyboard.press('Tab');
      }
      await keyboard.type('12242026');
      await tabTo(page, '#close button');
      await keyboard.press('Enter');
      await expect(page.locator('main')).toContainText('Sent back with more to do.');
    } else {
      await keyboard.type('Well done.');
      await tabTo(page, '#close input[type="password"]');
      await keyboard.type(password);
      await keyboard.press('Enter');
      await expect(page.locator('main')).toContainText('Signed off');
    }
    await page.waitForLoadState(); // no key is heard before the page's script is there
    await keyboard.press('g');
  }
  await expect(said(page).or(page.locator('#onward'))).toContainText('Nobody else waits');

  for (const [i, id] of ids.entries()) {
    const [sheet, more] = [await marked(centre, tutor, id), i % 3 === 2 || i % 4 === 3];
    expect(sheet.state, `attempt ${i}`).toBe(more ? 'more_to_do' : 'signed_off');
    expect(sheet.criteria.map((k) => k.decision?.outcome), `attempt ${i}`).toEqual(['met', i % 4 === 3 ? 'not_yet_met' : 'met', i % 3 === 2 ? 'not_yet_met' : 'met']);
    expect(sheet.criteria.map((k) => k.decision?.reason ?? ''), `attempt ${i}`).toEqual(['', i % 4 === 3 ? 'sufficient' : '', i % 3 === 2 ? 'valid' : '']);
    expect(sheet.criteria.map((k) => k.decision?.words ?? ''), `attempt ${i}`).toEqual(['', i % 4 === 3 ? 'Show the whole pump.' : 'Neat work.', i % 3 === 2 ? 'Look at the heat again: m, n and g are letters here.' : '']);
    expect(sheet.criteria[0].earlier.map((r) => r.outcome), `attempt ${i}`).toEqual(i === 0 ? ['met', 'taken_back'] : []);
  }
});

test('two tutors decide the same attempt', async ({ browser, centre, tutor }) => {
  const other = await centre.newPerson('tutor', 'Ravi Colne');
  const [id] = await handedIn(centre, [tutor, other], 1);
  const [first, second] = [await browserOf(browser, tutor), await browserOf(browser, other)];
  for (const page of [first, second]) await page.goto(`/attempts/${id}`);
  await open(first, one);
  await first.keyboard.press('m');
  await expect(said(first)).toHaveText(`Kept: ${one} met. u takes it back.`);

  await open(second, one);
  await second.keyboard.press('x');
  await second.keyboard.type('a');
  await second.keyboard.press('Tab');
  await second.keyboard.type('Whose hand is this?');
  await second.keyboard.press('Control+Enter');
  const margin = criterion(second, one).locator('.margin');
  const stamp = margin.locator('.stamp:not(.keeping)');
  await expect(margin.getByRole('alert')).toContainText(`Not kept. Tess Barker decided ${one}: met.`);
  await expect(stamp).toHaveText(/^met.*Tess Barker/s);
  await expect(margin.locator('form.decide textarea')).toHaveValue('Whose hand is this?');
  let k = (await marked(centre, tutor, id)).criteria[0];
  expect([k.decision?.outcome, k.decision?.by_name, k.earlier.length]).toEqual(['met', 'Tess Barker', 0]);

  // Having seen it, the second may decide afresh; both decisions stay.
  await margin.locator('form.decide textarea').focus();
  await second.keyboard.press('Control+Enter');
  await expect(stamp).toHaveText(/^not yet met.*Ravi Colne/s);
  k = (await marked(centre, tutor, id)).criteria[0];
  expect([k.decision?.outcome, k.decision?.by_name, k.decision?.words]).toEqual(['not_yet_met', 'Ravi Colne', 'Whose hand is this?']);
  expect(k.earlier.map((r) => r.outcome)).toEqual(['met']);
});

test('a stamp that is not kept does not stay', async ({ browser, centre, tutor }) => {
  const [id] = await handedIn(centre, [tutor], 1);
  const page = await browserOf(browser, tutor, { serviceWorkers: 'block' });
  await page.goto(`/attempts/${id}`);
  let go!: () => void;
  const held = new Promise<void>((done) => { go = done; });
  await page.route('**/decide', async (route) => {
    await held;
    await route.abort();
  });
  await page.context().route(`**/attempts/${id}`, (route) => (route.request().resourceType() === 'xhr' ? route.abort() : route.continue()));
  await open(page, one);
  await page.keyboard.press('m');
  await page.keyboard.press('c');
  await page.keyboard.press('m');
  await expect(page.locator('.stamp.keeping')).toHaveText([/met\s*Keeping it …/, /met\s*Keeping it …/]);
  go();
  await expect(criterion(page, one).getByRole('alert')).toHaveText('Not kept: there is no way to the centre just now. Try again once there is.');
  await expect(criterion(page, two).getByRole('alert')).toContainText('Not kept either');
  await expect(page.locator('.judged .stamp')).toHaveCount(0);
  expect((await marked(centre, tutor, id)).criteria.map((k) => k.decision)).toEqual([undefined, undefined, undefined]);
  await page.unrouteAll();
  await page.context().unrouteAll();
  await page.keyboard.press('m');
  await expect(criterion(page, two).locator('svg.witness')).toBeVisible();
  expect((await marked(centre, tutor, id)).criteria.map((k) => k.decision?.outcome)).toEqual([undefined, 'met', undefined]);
});

test('single keys can be switched off, and do nothing while somebody types', async ({ browser, centre, tutor }) => {
  const [id] = await handedIn(centre, [tutor], 1);
  const page = await browserOf(browser, tutor);
  await page.goto(`/attempts/${id}`);
  await open(page, one);
  await page.keyboard.press('?');
  await expect(page.getByRole('dialog', { name: 'Keys' })).toBeVisible();
  await page.keyboard.press('m'); // not while the sheet of keys lies over it
  await page.getByLabel('Single keys work on this page').uncheck();
  await page.getByRole('button', { name: 'Close' }).click();
  await page.reload();
  await page.locator('#item-before').focus();
  for (const key of ['m', 'x', 'g', 'f', '1', 'n']) await page.keyboard.press(key);
  await expect(page.locator('#item-before')).toBeFocused();
  await page.getByRole('button', { name: 'Keys' }).click();
  await page.getByLabel('Single keys work on this page').check();
  await page.keyboard.press('Escape');
  await page.locator('#item-before').focus();
  await page.keyboard.press('n');
  await expect(page.locator('#item-hazards')).toBeFocused();
  expect((await marked(centre, tutor, id)).criteria.map((k) => k.decision)).toEqual([undefined, undefined, undefined]);
});

test('a photo is turned beside what must be visible in it', async ({ browser, centre, tutor }) => {
  const [id] = await handedIn(centre, [tutor], 1);
  const page = await browserOf(browser, tutor);
  await expect(async () => { // once its preview is made
    await page.goto(`/attempts/${id}`);
    await expect(page.locator('#item-before a.zoom')).toHaveCount(1, { timeout: 1000 });
  }).toPass();
  await page.keyboard.press('n');
  await page.keyboard.press('z');
  const dialog = page.getByRole('dialog', { name: 'Photo' });
  await expect(dialog.locator('.mustsee li')).toHaveText(['the whole rig', 'the pump']);
  const shape = async () => (await dialog.locator('img').boundingBox())!;
  await expect.poll(async () => (await shape()).width).toBeGreaterThan(100);
  const upright = await shape();
  await page.keyboard.press('r');
  const side = await shape();
  expect(side.width / side.height).toBeCloseTo(upright.height / upright.width, 2);
  await page.keyboard.press('Escape');
  await expect(dialog).toBeHidden();
});

for (const [colorScheme, width] of [['light', 1280], ['dark', 320]] as const) {
  test(`the sheet, its keys and the tutor's remarks in ${colorScheme}`, async ({ browser, centre, tutor }) => {
    const [id] = await handedIn(centre, [tutor], 2);
    await centre.json(tutor, 'PUT', '/api/stock-remarks', { remarks: ['Neat work.', `safe: ${'Isolate it first, prove it dead, and say so. '.repeat(9)}`] });
    const page = await browserOf(browser, tutor, { colorScheme, viewport: { width, height: 900 } });
    await page.goto(`/attempts/${id}`);
    await open(page, one);
    await page.keyboard.press('m');
    await expect(criterion(page, one).locator('svg.witness')).toBeVisible();
    await clean(page, `an attempt at ${width}`);
    await page.keyboard.press('?');
    await clean(page, `its keys at ${width}`);
    await page.goto(`/stock-remarks?back=/attempts/${id}`);
    await clean(page, `remarks at ${width}`);
  });
}
