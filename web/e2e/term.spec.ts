// A term of a centre, played short: people come from a list and an instrument into the register, their work is judged, sampled and
// cleared, a verifier visits, and the unit is claimed.
import { expect, test, type Browser, type Page } from '@playwright/test';
import { Centre, type Person } from './centre.js';
import { checked, handInAll, markingBrief, marked, publish, signOffAllMet } from './marking.js';
import { port } from './settings.js';

const centre = new Centre(port);
// A server that is used again has the last run's term.
const run = Date.now().toString(36);
const [unit, cohort, plan] = [`TRM-${run}`.toUpperCase(), `Short term ${run}`, `Term ${run}`];
const names = ['Oriel Fennimar', 'Tamsin Breckwater'];
const day = (from: number) => new Date(Date.now() + from * 24 * 3600_000).toISOString().slice(0, 10);

async function pageOf(browser: Browser, who?: Person): Promise<Page> {
  const context = await browser.newContext();
  if (who) await context.addCookies([{ name: 'wm', value: who.cookie, url: `http://127.0.0.1:${port}`, httpOnly: true, sameSite: 'Lax' }]);
  const page = await context.newPage();
  page.on('pageerror', (trouble) => { throw trouble; });
  return page;
}

/** The manager takes two trainees in from a list, and reads first what it changes. */
async function takeIn(page: Page) {
  const rows = names.map((n, i) => `${n};t${i}-${run};${cohort};HBS-T-${i}-${run};${day(-30)}`);
  const list = ['Name;Sign-in name;Cohort;Registration number;Registered on', ...rows].join('\r\n');
  await page.goto('/people/list');
  await page.getByLabel(/A list as CSV/).setInputFiles({ name: 'people.csv', mimeType: 'text/csv', buffer: Buffer.from(`\ufeff${list}`) });
  await page.getByRole('button', { name: 'Look at it first' }).click();
  await expect(page.locator('#plan')).toContainText('2 people are new');
  await page.getByRole('button', { name: 'Take the list in' }).click();
  await expect(page.getByRole('status')).toContainText('2 people');
}

/** The technician enters an instrument and checks it. */
async function enterInstrument(page: Page) {
  await page.goto('/instruments');
  await page.getByLabel('Name').fill(`Immersion thermometer ${run}`);
  await page.getByLabel('Serial number').fill(`TM ${run}`);
  await page.getByLabel('Is a').fill('immersion thermometer');
  await page.getByRole('button', { name: 'Add it' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(`Immersion thermometer ${run}`);
  await page.getByLabel('Which check').selectOption({ label: 'ice point' });
  await page.getByLabel('What it read').fill('0.1 °C');
  await page.getByLabel('That means').selectOption({ index: 1 });
  await page.getByRole('button', { name: 'Enter the check' }).click();
  await expect(page.locator('#checkups')).toContainText('0.1 °C');
}

/** Both trainees hand in what a tutor of their own signs off. */
async function work(): Promise<{ tutor: Person; attempts: string[] }> {
  const manager = await centre.person('farrowby');
  const criteria = (codes: string[]) => codes.map((code) => ({ code, text: `Do what ${code} asks for.` }));
  await centre.json(manager, 'POST', '/api/units', {
    code: unit, title: 'A short term', edition: '1',
    learning_outcomes: [{ code: '1', title: 'Look and measure', criteria: criteria(['1.1', '1.2']) }, { code: '4', title: 'Work it out', criteria: criteria(['4.1']) }],
  });
  const brief = await publish(centre, await centre.person('ellingham'), markingBrief().replace('unit: BSX-207', `unit: ${unit}`));
  const { cohorts } = await centre.json<{ cohorts: { id: string; name: string }[] }>(manager, 'GET', '/api/cohorts');
  const { id } = cohorts.find((k) => k.name === cohort)!;
  const tutor = await centre.newPerson('tutor', 'Tess Barker');
  await centre.json(manager, 'POST', `/api/cohorts/${id}/members`, { person: tutor.id, part: 'tutor' });
  await centre.json(tutor, 'POST', `/api/cohorts/${id}/tasks`, { brief, version: 1 });
  const { invitations } = await centre.json<{ invitations: { name: string; token: string }[] }>(manager, 'POST', `/api/cohorts/${id}/invitations`);
  const attempts: string[] = [];
  for (const [i, name] of names.entries()) {
    const trainee = await centre.accept(invitations.find((v) => v.name === name)!.token, `t${i}-${run}`);
    attempts.push(...await handInAll(centre, trainee, i + 1));
  }
  await checked(centre, tutor, attempts);
  for (const a of attempts) await signOffAllMet(centre, tutor, a);
  return { tutor, attempts };
}

/** Says of the first drawn attempt that nobody has looked at what the quality assurer finds. */
async function look(page: Page, sample: string, trainee: string, outcome: string, words: string) {
  await page.goto(sample);
  await page.locator('#drawn').getByRole('link', { name: trainee }).click();
  await page.getByLabel(outcome, { exact: true }).check();
  if (outcome === 'disagree') await page.getByLabel(`${unit}/1.2`, { exact: true }).check();
  await page.getByLabel('What you saw').fill(words);
  await page.getByRole('button', { name: 'Keep it' }).click();
}

async function draw(page: Page, of: number): Promise<string> {
  await page.goto('/sampling');
  await page.locator('#plans').getByRole('link', { name: plan }).click();
  await page.getByRole('button', { name: /^Draw sample/ }).click();
  await expect(page.locator('#shows')).toContainText(`0 of ${of} looked at`);
  return new URL(page.url()).pathname;
}

/** The quality assurer looks at both, disagrees with one, which the tutor decides afresh, and then clears them. */
async function sample(page: Page, tutor: Person, attempts: string[]) {
  await page.goto('/sampling');
  await page.getByLabel('Name').fill(plan);
  await page.getByLabel('Unit').selectOption(unit);
  await page.getByLabel('Cohort').selectOption({ label: cohort });
  await page.getByLabel('How much, in per cent').fill('100');
  await page.getByLabel(/^Why/).fill('Two trainees: all of it.');
  await page.getByRole('button', { name: 'Keep the plan' }).click();
  const first = await draw(page, 2);
  await look(page, first, names[0], 'agree', 'The photo and the readings bear it.');
  await look(page, first, names[1], 'disagree', `${unit}/1.2: the return was read before it had settled.`);
  expect((await marked(centre, tutor, attempts[0])).state).toBe('signed_off');
  expect((await marked(centre, tutor, attempts[1])).state).toBe('checked');
  await page.goto(first);
  await expect(page.locator('#shows')).toContainText('1 disagreed with');
  await expect(page.getByRole('button', { name: 'Clear for claim' })).toHaveCount(0);

  await signOffAllMet(centre, tutor, attempts[1]);
  const second = await draw(page, 2);
  for (const name of names) await look(page, second, name, 'agree', 'In order.');
  await page.goto(second);
  await page.getByRole('button', { name: 'Clear for claim' }).click();
  for (const a of attempts) expect((await marked(centre, tutor, a)).state).toBe('cleared');
}

/** The quality assurer arranges a visit; its verifier opens the link and asks for something to be done. */
async function visit(browser: Browser, assurer: Page) {
  await assurer.goto('/visits');
  await assurer.getByLabel('Name').fill('Ottilie Marchbank');
  await assurer.getByLabel('Unit').selectOption(unit);
  await assurer.getByLabel('What the visit is for').fill('How the term went.');
  await assurer.getByLabel('Last day').fill(day(7));
  await assurer.getByLabel('Everything that was signed off or sent back').check();
  await assurer.getByRole('button', { name: 'Arrange it' }).click();
  const link = await assurer.getByLabel("The visit's link").inputValue();

  const verifier = await pageOf(browser);
  await verifier.goto(link);
  await expect(verifier.locator('main')).toContainText('How the term went.');
  await verifier.getByRole('button', { name: 'Open the visit' }).click();
  await verifier.locator('#list').getByRole('link', { name: names[0] }).click();
  await verifier.getByLabel('I confirm it').check();
  await verifier.getByRole('button', { name: 'Keep it' }).click();
  await verifier.getByLabel('What is to be done').fill(`Say in the brief how long to wait, ${run}.`);
  await verifier.getByLabel('Who', { exact: true }).selectOption({ label: 'Kwabena Rathmell' });
  await verifier.getByLabel('By', { exact: true }).fill(day(14));
  await verifier.getByRole('button', { name: 'Keep the action' }).click();
  await verifier.goto('/visit');
  await expect(verifier.locator('main')).toContainText(`how long to wait, ${run}`);
  expect((await verifier.goto('/sampling'))!.status(), 'the visit is all that the link opens').toBeGreaterThanOrEqual(400);
}

async function ready(page: Page) {
  await page.goto('/claims');
  await page.getByLabel('Unit').selectOption(unit);
  await page.getByText('Of some cohorts only').click();
  await page.getByLabel(cohort, { exact: true }).check();
  await page.getByRole('button', { name: 'Show them' }).click();
}

test('a term, from a list of people to the claim of their unit', async ({ browser }) => {
  const manager = await pageOf(browser, await centre.person('farrowby'));
  await takeIn(manager);
  await enterInstrument(await pageOf(browser, await centre.person('halvorsen')));
  const { tutor, attempts } = await work();
  await ready(manager);
  await expect(manager.locator('#rest')).toContainText('waits to be sampled and cleared');

  const assurer = await pageOf(browser, await centre.person('rathmell'));
  await sample(assurer, tutor, attempts);
  await visit(browser, assurer);

  // While the verifier's action is open nothing is claimed for whose work it is about; its owner cannot close it.
  await ready(manager);
  await expect(manager.locator('#ready')).toContainText(names[1]);
  await expect(manager.locator('#rest')).toContainText(names[0]);
  await expect(manager.locator('#rest')).toContainText('an action that is still open');
  const action = (page: Page) => page.locator('#actions tbody tr').filter({ hasText: `how long to wait, ${run}` });
  await assurer.goto('/actions');
  await expect(action(assurer).getByRole('button')).toHaveCount(0);
  await manager.goto('/actions');
  await action(manager).getByLabel('What was done, and how you know').fill('The brief says two minutes now; read it.');
  await action(manager).getByRole('button').click();
  await expect(action(manager)).toHaveCount(0);

  await ready(manager);
  for (const n of names) await expect(manager.locator('#ready')).toContainText(n);
  await manager.getByRole('button', { name: 'Claim for those chosen' }).click();
  await expect(manager.locator('#claim tbody tr')).toHaveCount(2);
  await expect(manager.locator('#claim')).toContainText(`HBS-T-0-${run}`);
  for (const a of attempts) expect((await marked(centre, tutor, a)).state).toBe('claimed');
});
