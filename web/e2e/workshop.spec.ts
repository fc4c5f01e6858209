// In the workshop: a trainee at the rig and a tutor with a tablet, in two browsers. The tutor's pages are never loaded again
// by hand where they are to change by themselves.
import { expect, test, type Browser, type Page } from '@playwright/test';
import { Centre, type Person } from './centre.js';
import { jpeg, photo } from './photo.js';
import { clean } from './look.js';
import { password, port } from './settings.js';

const tablet = { viewport: { width: 768, height: 1024 }, hasTouch: true };
const phone = { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true };
const centre = new Centre(port);

async function signedIn(browser: Browser, who: Person, options: object): Promise<Page> {
  const context = await browser.newContext(options);
  await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}`, httpOnly: true, sameSite: 'Lax' }]);
  const page = await context.newPage();
  page.on('pageerror', (trouble) => { throw trouble; });
  return page;
}

/** Marks the page, so that a reload would be seen. */
const remember = (page: Page) => page.evaluate(() => { document.body.dataset.same = 'yes'; });
const same = (page: Page) => page.evaluate(() => document.body.dataset.same === 'yes');

/** The trainee does all of the first stage on the phone. */
async function prepare(page: Page) {
  await page.locator('#item-before input[type=file]').last().setInputFiles([1, 2].map((n) => jpeg(`rig-${n}.jpg`, photo(20_000, n))));
  await expect(page.locator('#files-before img, #files-before a.paper')).toHaveCount(2);
  await page.getByLabel('I have read the risk assessment for Bay 7.').check();
  await page.locator('#item-pressure input[inputmode=decimal]').nth(0).fill('0.6');
  await page.locator('#item-pressure input[inputmode=decimal]').nth(1).fill('1.2');
  await page.locator('#item-pressure input[inputmode=decimal]').nth(1).blur();
  for (const phase of ['as-found', 'as-left']) {
    await expect(page.locator(`.line[data-line="pressure@${phase}"] .sent`).first()).toContainText(/received \d\d:\d\d/);
  }
}

test('a trainee waits at a hold point, and the tutor sees it, checks, releases, notes, stops and clears', async ({ browser }) => {
  const trainee = await centre.newTrainee('Wren Holdaway');
  const attempt = await centre.attempt(trainee);
  const tutor = await centre.person('ellingham');
  const rig = await signedIn(browser, trainee, phone);
  const board = await signedIn(browser, tutor, tablet);
  await board.goto(`/cohorts/${attempt.cohort}`);
  await expect(board.locator('.watching')).toContainText('changes appear by themselves');
  await expect(board.locator('#waits')).toContainText('Nobody waits');
  const row = board.locator('table.board tbody tr');
  await expect(row).toContainText('at stage 1');
  await remember(board);
  await clean(board, 'the board with somebody at work');

  // The trainee comes to the hold point; the board says so by itself.
  await rig.goto(attempt.path);
  await prepare(rig);
  const waits = board.locator('#waits a');
  await expect(waits).toContainText('Wren Holdaway waits before stage 2');
  await expect(row).toContainText('waiting at the hold point before stage 2');
  await expect(row.locator('.stamps .full')).toHaveCount(1);
  expect(await same(board), 'the board was not loaded again').toBe(true);
  for (const target of [waits, row.locator('th a'), row.locator('button.stop')]) {
    expect((await target.boundingBox())!.height, 'a target for a thumb').toBeGreaterThanOrEqual(44);
  }

  // The hold keeps until the tutor has checked what it needs, with the password.
  await waits.tap();
  const hold = board.locator('#hold-run');
  await expect(hold).toContainText('Keep the hold');
  await expect(board.locator('.watching')).toContainText('changes appear by themselves');
  await clean(board, 'the workshop page of somebody who waits');
  const check = () => board.locator('#item-pressure form.checkform').last();
  await check().getByLabel('Your password').fill('not this one');
  await check().getByRole('button', { name: 'Keep the check' }).tap();
  await expect(board.getByRole('alert')).toContainText('not your password');
  await rig.locator('#item-before input[type=file]').last().setInputFiles([jpeg('rig-3.jpg', photo(20_000, 3))]); // what was said stays, though more comes in
  await expect(board.locator('.watching')).toContainText('As of');
  await expect(board.getByRole('alert')).toContainText('not your password');
  await check().getByLabel('Your password').fill(password);
  await check().getByRole('button', { name: 'Keep the check' }).tap();
  await expect(board.locator('#item-pressure')).toContainText('Morag Ellingham saw the instrument');
  await board.getByRole('button', { name: 'Release the hold point' }).tap();
  await expect(hold).toContainText('Released by Morag Ellingham');
  await rig.reload();
  await expect(rig.getByText('Stop here.')).toHaveCount(0);

  // A note on what was seen, timed, and a question with its answer.
  const watch = board.locator('#watch-run');
  await watch.locator('summary').click();
  await watch.getByRole('button', { name: 'Start the clock' }).tap();
  await expect(watch.locator('output')).toHaveText(/0:0[1-9]/);
  await watch.getByRole('button', { name: 'Stepped in' }).tap();
  await expect(board.getByRole('alert')).toContainText('Say what you stepped in for');
  await watch.getByLabel('In a few words').fill('Covers on, hands dry.');
  await watch.getByRole('button', { name: 'Seen', exact: true }).tap();
  await expect(board.locator('#notes-run')).toContainText('Covers on, hands dry.');
  await expect(board.locator('#notes-run .state')).toHaveText('seen');
  await watch.locator('details > summary').click();
  await watch.getByLabel('Question of your own').fill('Why do you wait before you read the return?');
  await watch.getByLabel('Gist of the answer').fill('Until both have settled.');
  await watch.getByRole('button', { name: 'Understood' }).tap();
  await expect(board.locator('#notes-run')).toContainText('Until both have settled.');

  // What the trainee types meanwhile appears beside it.
  await remember(board);
  await rig.locator('#item-qv input[inputmode=decimal]').fill('12.4');
  await rig.locator('#item-qv input[inputmode=decimal]').blur();
  await expect(board.locator('#item-qv')).toContainText('12.4');
  expect(await same(board), 'the sheet was not loaded again').toBe(true);

  // Stopped from the board with one tap, words added, cleared by the tutor.
  await board.goto(`/cohorts/${attempt.cohort}`);
  await row.locator('button.stop').tap();
  await expect(board.locator('#stopped')).toContainText('Stopped for safety');
  await board.locator('#stopped summary').click();
  await board.getByLabel('What is unsafe').fill('Water by the spur.');
  await board.getByRole('button', { name: 'Add it' }).tap();
  await expect(board.locator('#stopped')).toContainText('Water by the spur.');
  await clean(board, 'a stopped attempt');
  await rig.reload();
  await expect(rig.locator('#stopped')).toContainText('Water by the spur.');
  await board.getByLabel('What was put right').fill('Dried, and tested dead.');
  await board.getByRole('button', { name: 'Clear the stop' }).tap();
  await expect(board.getByRole('status')).toContainText('The work may go on');
  await board.goto(`/cohorts/${attempt.cohort}`);
  await expect(row).toContainText('at stage 2');
});

test('a brief is set to one trainee, from a day and for so many attempts, and to a late joiner afterwards', async ({ browser }) => {
  const [first, late] = [await centre.newTrainee('Ash Early'), await centre.newTrainee('Lou Late')];
  const attempt = await centre.attempt(first); // a cohort of its own, and a published brief
  const tutor = await centre.person('ellingham');
  const manager = await centre.person('farrowby');
  await centre.json(manager, 'POST', `/api/cohorts/${attempt.cohort}/members`, { person: late.id, part: 'trainee' });
  const board = await signedIn(browser, tutor, tablet);
  await board.goto(`/cohorts/${attempt.cohort}`);
  await board.getByText('Set it to them too').click();
  await board.getByRole('checkbox', { name: 'Lou Late' }).first().check();
  await board.getByRole('button', { name: 'Set it to them', exact: true }).tap();
  await expect(board.getByRole('rowheader', { name: 'Lou Late' })).toBeVisible();

  const set = board.locator('#set');
  const brief = await set.getByLabel('Brief').locator('option').nth(1).getAttribute('value');
  await set.getByLabel('Brief').selectOption(brief!);
  const tomorrow = new Date(Date.now() + 36 * 3600_000).toISOString().slice(0, 10);
  await set.getByLabel('From').fill(tomorrow);
  await set.getByLabel('Attempts allowed').selectOption('2');
  await set.getByLabel('Who observes').selectOption({ label: 'Morag Ellingham' });
  await set.getByText('To some trainees only').click();
  await set.getByRole('checkbox', { name: 'Ash Early' }).check();
  await set.getByRole('button', { name: 'Set it' }).tap();
  const task = board.locator('.boardtask').filter({ hasText: '2 attempts each' });
  await expect(task).toContainText('Morag Ellingham observes.');
  await expect(task).toContainText('Not set to Lou Late.');
  await expect(task.getByRole('rowheader')).toHaveText(['Ash Early']);
  await clean(board, 'a board with two tasks');

  // It cannot be started before its day; extra time and another way are agreed beforehand, and the trainee reads them.
  await task.getByRole('link', { name: 'Ash Early' }).tap();
  await board.getByText('Agree something for Ash Early alone').click();
  await board.getByLabel('Extra time').check();
  await board.getByLabel('Until').fill(new Date(Date.now() + 20 * 24 * 3600_000).toISOString().slice(0, 10));
  await board.getByLabel('Why').fill('Reads slowly.');
  await board.getByRole('button', { name: 'Put it down' }).tap();
  await expect(board.locator('#adjusted')).toContainText('Extra time');
  await clean(board, 'the sheet of an attempt with something agreed');
  const rig = await signedIn(browser, first, phone);
  await rig.goto(new URL(board.url()).pathname);
  await expect(rig.locator('#adjusted')).toContainText('Reads slowly.');
  await rig.getByLabel('I agree this plan with my tutor.').check();
  await rig.getByLabel(/I have read the cautions/).check();
  await rig.getByRole('button', { name: 'Start' }).click();
  await expect(rig.getByRole('alert')).toContainText('This task starts on');
  await clean(rig, 'a plan that cannot be started yet');
});
