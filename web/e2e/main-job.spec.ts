// The main job, once from end to end: the manager puts a cohort together, the tutor writes a brief and sets it, the trainee
// does the work on a phone, the tutor releases the hold point, judges and signs off, the manager has the portfolio.
import { expect, test, type Browser, type Page } from '@playwright/test';
import { createHash } from 'node:crypto';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const password = 'bay-seven-demo';
// A server that is used again has the last run's cohort and brief.
const run = Date.now().toString(36);
const cohort = `Evening class ${run}`;
const title = `Bay 7, prove the heat in one visit ${run}`;
const phone = { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true };

async function signedIn(browser: Browser, name: string, options = {}): Promise<Page> {
  const page = await (await browser.newContext(options)).newPage();
  page.on('pageerror', (trouble) => { throw trouble; });
  await page.goto('/sign-in');
  await page.getByLabel('Sign-in name').fill(name);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByRole('button', { name: 'Sign out' })).toBeVisible();
  return page;
}

/** Two photos as a phone would make them, drawn by the page itself so that no picture is shipped with the tests. */
async function photos(page: Page): Promise<Buffer[]> {
  const drawn: Buffer[] = [];
  for (const hue of [20, 200]) {
    const url = await page.evaluate((hue) => {
      const c = document.createElement('canvas');
      c.width = 1280;
      c.height = 960;
      const g = c.getContext('2d')!;
      g.fillStyle = `hsl(${hue} 40% 70%)`;
      g.fillRect(0, 0, 1280, 960);
      g.fillStyle = `hsl(${hue} 60% 30%)`;
      for (let i = 0; i < 40; i++) g.fillRect((i * 97) % 1200, (i * 61) % 900, 80, 24);
      return c.toDataURL('image/jpeg', 0.9);
    }, hue);
    drawn.push(Buffer.from(url.split(',')[1], 'base64'));
  }
  return drawn;
}

const sha256 = (b: Buffer) => createHash('sha256').update(b).digest('hex');

test('a brief is set, evidence handed in, marked, signed off, and the portfolio holds it all', async ({ browser }) => {
  const manager = await signedIn(browser, 'farrowby');
  await manager.goto('/cohorts');
  await manager.getByLabel('Name').fill(cohort);
  await manager.getByRole('button', { name: 'Add it' }).click();
  await manager.goto('/cohorts');
  await manager.getByRole('link', { name: cohort }).click();
  await manager.getByRole('link', { name: 'Members' }).click();
  await manager.getByLabel('Add a tutor').selectOption({ label: 'Morag Ellingham' });
  await manager.getByRole('button', { name: 'Add' }).first().click();
  await manager.getByLabel('Add a trainee').selectOption({ label: 'Beatriz Gonçalvo' });
  await manager.getByRole('button', { name: 'Add' }).last().click();
  await expect(manager.getByRole('rowheader', { name: 'Beatriz Gonçalvo' })).toBeVisible();

  // The tutor writes the brief, with a mistake first, publishes it and sets it.
  const tutor = await signedIn(browser, 'ellingham');
  const text = readFileSync('brief.yaml', 'utf8').replace('key: bay-7-short', `key: bay-7-short-${run}`).replace(/title: .*/, `title: ${title}`);
  await tutor.goto('/briefs/new');
  await tutor.getByRole('button', { name: "Turn over: the file's text" }).click();
  await tutor.getByLabel("The brief's text").fill(text.replace('rho(tr)', 'rho(tx)'));
  await tutor.getByRole('button', { name: 'Check it' }).click();
  await expect(tutor.locator('#checked')).toContainText('tx');
  await tutor.getByLabel("The brief's text").fill(text);
  await tutor.getByRole('button', { name: 'Save the draft' }).click();
  await tutor.getByRole('button', { name: 'Ask for it to be checked' }).click();
  await expect(tutor.locator('#check')).toContainText('somebody else has to check and publish it');
  const assurer = await signedIn(browser, 'rathmell');
  await assurer.goto(new URL(tutor.url()).pathname);
  await assurer.getByRole('button', { name: 'I have checked it: publish' }).click();
  await expect(assurer.getByRole('status')).toContainText('never changes');
  await tutor.goto('/cohorts');
  await tutor.getByRole('link', { name: cohort }).click();
  await tutor.getByLabel('Brief').selectOption({ label: `${title}, version 1` });
  await tutor.getByRole('button', { name: 'Set it', exact: true }).click();
  await expect(tutor.getByRole('link', { name: 'Beatriz Gonçalvo' })).toBeVisible();

  // The trainee starts on a phone.
  const trainee = await signedIn(browser, 'beatriz', phone);
  await trainee.goto('/tasks');
  await trainee.getByRole('link', { name: title, exact: true }).click();
  await trainee.getByLabel('I agree this plan with my tutor.').check();
  await trainee.getByLabel(/I have read the cautions/).check();
  await trainee.getByRole('button', { name: 'Start' }).click();
  const attempt = trainee.url();
  const pictures = await photos(trainee);
  await trainee.locator('#item-before input[type=file]').last().setInputFiles(
    pictures.map((buffer, i) => ({ name: `rig-${i + 1}.jpg`, mimeType: 'image/jpeg', buffer })));
  await expect(trainee.locator('#files-before img, #files-before a.paper')).toHaveCount(2);
  await trainee.getByLabel('I have read the risk assessment for Bay 7.').check();
  await trainee.locator('#item-pressure input[inputmode=decimal]').nth(0).fill('0.6');
  await trainee.locator('#item-pressure input[inputmode=decimal]').nth(1).fill('1.2');
  for (const phase of ['as-found', 'as-left']) {
    await expect(trainee.locator(`.line[data-line="pressure@${phase}"] .sent`).first()).toContainText(/received \d\d:\d\d/);
  }
  await expect(trainee.getByText('Stop here.')).toBeVisible();
  // What was typed is there after a reload.
  await trainee.reload();
  await expect(trainee.locator('#item-pressure input[inputmode=decimal]').nth(1)).toHaveValue('1.2');

  // The tutor may not release before the safety-critical reading is checked; then may.
  await tutor.goto(attempt);
  await expect(tutor.getByRole('button', { name: 'Release the hold point' })).toHaveCount(0);
  const kept = tutor.waitForResponse((r) => r.request().method() === 'POST'); // going on before that would call it off
  await tutor.locator('#item-pressure').getByLabel('Your password').last().fill(password);
  await tutor.locator('#item-pressure').getByRole('button', { name: 'Keep the check' }).last().click();
  await kept;
  await tutor.goto(attempt);
  await tutor.getByRole('button', { name: 'Release the hold point' }).click();
  await expect(tutor.getByText('Released by Morag Ellingham')).toBeVisible();

  await trainee.reload();
  await expect(trainee.getByText('Stop here.')).toHaveCount(0);
  for (const [item, value] of [['qv', '12.4'], ['tf', '69.8'], ['tr', '51.3']]) {
    await trainee.locator(`#item-${item} input[inputmode=decimal]`).fill(value);
  }
  await trainee.locator('#item-heat textarea').fill('12.4 ÷ 60 × 0.9875 × 4.183 × (69.8 − 51.3) = 15.8');
  await trainee.locator('#item-heat input[inputmode=decimal]').fill('15.8');
  // Each trainee's plan asks for its own heat: 15.8 kW is enough up to 15.5 kW.
  const planned = Number.parseFloat(await trainee.locator('table.given td.num').first().innerText());
  await trainee.getByLabel(planned <= 15.5 ? 'it does' : 'it does not', { exact: true }).check();
  await expect(trainee.getByText('Everything that is asked for is there.')).toBeVisible();
  await trainee.getByLabel(/This is my own work/).check();
  await trainee.getByRole('button', { name: 'Hand over to your tutor' }).click();
  await expect(trainee.locator('#sealed')).toContainText(/Handed over on this phone at \d\d:\d\d: 10 of 10 received/);

  // The tutor judges once the marker has been.
  await expect(async () => {
    await tutor.goto(attempt);
    await expect(tutor.locator('section.judged')).toHaveCount(3, { timeout: 1000 });
    await expect(tutor.locator('#item-heat .finding')).toContainText('15.8', { timeout: 1000 }); // the marker was there
  }).toPass({ timeout: 60_000 });
  for (let i = 0; i < 3; i++) {
    const margin = tutor.locator('section.judged').nth(i).locator('.stampside');
    await margin.getByLabel('met', { exact: true }).check();
    await margin.getByRole('button', { name: 'Stamp it' }).click();
    await expect(tutor.locator('section.judged').nth(i).locator('svg.witness')).toBeVisible();
  }
  await tutor.getByLabel('To the trainee').fill('Neat working, and you checked the gauge twice.');
  await tutor.locator('#close').getByLabel('Your password').fill('not this one');
  await tutor.getByRole('button', { name: 'Sign off' }).click();
  await expect(tutor.getByRole('alert')).toContainText('not your password');
  await tutor.locator('#close').getByLabel('Your password').fill(password);
  await tutor.getByRole('button', { name: 'Sign off' }).click();
  await expect(tutor.locator('main')).toContainText('Signed off by Morag Ellingham');

  await trainee.goto(attempt);
  await expect(trainee.getByText('Neat working, and you checked the gauge twice.')).toBeVisible();

  // The manager has the portfolio.
  await manager.goto('/portfolios');
  const one = manager.locator('form[action="/portfolios"]');
  await one.getByLabel('Trainee').selectOption({ label: 'Beatriz Gonçalvo' });
  await one.getByLabel('Unit').selectOption('BSX-207');
  await manager.getByRole('button', { name: 'Put it together' }).click();
  const mine = manager.getByRole('row').filter({ hasText: 'Beatriz Gonçalvo' }).first();
  await expect(async () => {
    await manager.goto('/portfolios');
    await expect(mine.getByRole('link', { name: /Download the PDF/ })).toBeVisible({ timeout: 1000 });
  }).toPass({ timeout: 60_000 });
  const download = manager.waitForEvent('download');
  await mine.getByRole('link', { name: /Download the PDF/ }).click();
  const folder = mkdtempSync(join(tmpdir(), 'witnessmark-portfolio-'));
  const file = join(folder, 'portfolio.pdf');
  await (await download).saveAs(file);

  const words = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  for (const wanted of ['Beatriz Gonçalvo', 'BSX-207', 'Index', '12.4', '69.8', '15.8', 'attempt 1: signed off', 'Morag Ellingham', 'Neat working']) {
    expect(words).toContain(wanted);
  }
  // The pictures stand there as previews, and each original by its digest.
  execFileSync('pdfimages', ['-all', file, join(folder, 'photo')]);
  expect(readdirSync(folder).filter((f) => f.startsWith('photo')).length).toBeGreaterThanOrEqual(pictures.length);
  const digests = execFileSync('pdftotext', [file, '-'], { encoding: 'utf8' }).replace(/\s+/g, '');
  for (const p of pictures) expect(digests).toContain(sha256(p));

  // Somebody without an account has it checked.
  const stranger = await (await browser.newContext()).newPage();
  await stranger.goto('/sign-in');
  await stranger.getByRole('link', { name: 'Check a portfolio' }).click();
  await stranger.getByLabel('The portfolio, a PDF').setInputFiles(file);
  await stranger.getByRole('button', { name: 'Check it' }).click();
  await expect(stranger.getByRole('status')).toContainText('genuine');
  const changed = readFileSync(file);
  changed[changed.length >> 1] ^= 1;
  await stranger.getByLabel('The portfolio, a PDF').setInputFiles({ name: 'changed.pdf', mimeType: 'application/pdf', buffer: changed });
  await stranger.getByRole('button', { name: 'Check it' }).click();
  await expect(stranger.getByRole('status')).toContainText('altered');
});
