// The first half of a term: people and an instrument come in, a brief is checked and issued, work is judged, sampled and cleared.
import { expect, type Browser, type Page } from '@playwright/test';
import { sha256, type Person } from './centre.js';
import { cleanOnBoth } from './look.js';
import { checked, handInAll, markingBrief, marked, signOffAllMet } from './marking.js';
import { centre, cohort, day, names, pageOf, plan, run, unit } from './term.js';

/** The manager takes two trainees in from a list, and reads first what it changes. */
export async function takeIn(page: Page) {
  const rows = names.map((n, i) => `${n};t${i}-${run};${cohort};HBS-T-${i}-${run};${day(-30)}`);
  const list = ['Name;Sign-in name;Cohort;Registration number;Registered on', ...rows].join('\r\n');
  await page.goto('/people/list');
  await page.getByLabel(/A list as CSV/).setInputFiles({ name: 'people.csv', mimeType: 'text/csv', buffer: Buffer.from(`\ufeff${list}`) });
  await page.getByRole('button', { name: 'Look at it first' }).click();
  await expect(page.locator('#plan')).toContainText('2 people are new');
  await cleanOnBoth(page, 'what a list of people changes');
  await page.getByRole('button', { name: 'Take the list in' }).click();
  await expect(page.getByRole('status')).toContainText('2 people');
}

/** The technician enters an instrument and checks it. */
export async function enterInstrument(page: Page) {
  await page.goto('/instruments');
  await page.getByLabel('Name', { exact: true }).fill(`Immersion thermometer ${run}`);
  await page.getByLabel('Serial number', { exact: true }).fill(`TM ${run}`);
  await page.getByLabel('Is a').fill('immersion thermometer');
  await page.getByRole('button', { name: 'Add it' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(`Immersion thermometer ${run}`);
  await page.getByLabel('Which check').selectOption({ label: 'ice point' });
  await page.getByLabel('What it read').fill('0.1 °C');
  await page.getByLabel('That means').selectOption({ index: 1 });
  await page.getByRole('button', { name: 'Enter the check' }).click();
  await expect(page.locator('#checkups')).toContainText('0.1 °C');
  await cleanOnBoth(page, 'an instrument with its check');
}

/** A tutor writes a brief for the term's unit, and the quality assurer checks and issues it. */
export async function issue(assurer: Page): Promise<string> {
  const criteria = (codes: string[]) => codes.map((code) => ({ code, text: `Do what ${code} asks for.` }));
  await centre.json(await centre.person('farrowby'), 'POST', '/api/units', {
    code: unit, title: 'A short term', edition: '1',
    learning_outcomes: [{ code: '1', title: 'Look and measure', criteria: criteria(['1.1', '1.2']) }, { code: '4', title: 'Work it out', criteria: criteria(['4.1']) }],
  });
  const [author, source] = [await centre.person('ellingham'), markingBrief().replace('unit: BSX-207', `unit: ${unit}`)];
  const { brief } = await centre.json<{ brief: string }>(author, 'POST', '/api/briefs', { source });
  await centre.json(author, 'POST', `/api/briefs/${brief}/versions/1/ask`, { digest: sha256(source) });
  await assurer.goto(`/briefs/${brief}/1`);
  await cleanOnBoth(assurer, 'a brief that waits to be checked');
  await assurer.getByRole('button', { name: 'I have checked it: publish' }).click();
  await expect(assurer.getByRole('status')).toContainText('never changes');
  return brief;
}

/** The manager prints the cohort's invitations. Gives what opens each, in the order of the names. */
async function invite(browser: Browser, manager: Page, id: string): Promise<string[]> {
  await manager.goto(`/cohorts/${id}/members`);
  await manager.getByRole('button', { name: 'Print invitations for whoever has no password' }).click();
  await cleanOnBoth(manager, 'invitations');
  const address = (name: string) => manager.locator('.strips li').filter({ hasText: name }).locator('.address').innerText();
  const addresses = await Promise.all(names.map(address));
  const invited = await pageOf(browser);
  await invited.goto(addresses[0]);
  await expect(invited.locator('main')).toContainText(names[0]);
  await cleanOnBoth(invited, 'an invitation');
  return addresses.map((a) => a.split('/').at(-1)!);
}

/** Both trainees hand in what a tutor of their own signs off. */
export async function work(browser: Browser, manager: Page, brief: string): Promise<{ tutor: Person; trainees: Person[]; attempts: string[] }> {
  const by = await centre.person('farrowby');
  const { cohorts } = await centre.json<{ cohorts: { id: string; name: string }[] }>(by, 'GET', '/api/cohorts');
  const { id } = cohorts.find((k) => k.name === cohort)!;
  const tutor = await centre.newPerson('tutor', 'Tess Barker');
  await centre.json(by, 'POST', `/api/cohorts/${id}/members`, { person: tutor.id, part: 'tutor' });
  await centre.json(tutor, 'POST', `/api/cohorts/${id}/tasks`, { brief, version: 1 });
  const trainees: Person[] = [];
  const attempts: string[] = [];
  for (const [i, token] of (await invite(browser, manager, id)).entries()) {
    trainees.push(await centre.accept(token, `t${i}-${run}`));
    attempts.push(...await handInAll(centre, trainees[i], i + 1));
  }
  await checked(centre, tutor, attempts);
  for (const a of attempts) await signOffAllMet(centre, tutor, a);
  return { tutor, trainees, attempts };
}

/** Says of the first drawn attempt that nobody has looked at what the quality assurer finds. */
async function look(page: Page, sample: string, trainee: string, outcome: string, words: string) {
  await page.goto(sample);
  await page.locator('#drawn').getByRole('link', { name: trainee }).click();
  await page.getByLabel(outcome, { exact: true }).check();
  if (outcome === 'disagree') {
    await page.getByLabel(`${unit}/1.2`, { exact: true }).check();
    await cleanOnBoth(page, 'a drawn attempt');
  }
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

/** The tutor's keys lead to what a sampler disagreed about; it cannot be signed off before it is decided afresh. */
async function decideAfresh(page: Page, attempt: string, ref: string) {
  await page.goto(`/attempts/${attempt}`);
  const [margin, close] = [page.locator(`.judged[data-criterion="${ref}"] .margin`), page.locator('#close')];
  await expect(close).toContainText(`Still to be decided afresh, before you sign it off or send it back: ${ref}.`);
  await expect(margin).toContainText('sampled this and disagrees. “');
  await page.keyboard.press('c');
  await expect(page.locator(`.judged[data-criterion="${ref}"] :focus`)).toHaveCount(1);
  await page.keyboard.press('m');
  await expect(close).toContainText('Every criterion is met.');
  await expect(margin).not.toContainText('disagrees');
}

/** The quality assurer looks at both, disagrees with one, which the tutor decides afresh, and then clears them. */
export async function sample(browser: Browser, page: Page, tutor: Person, attempts: string[]) {
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
  await cleanOnBoth(page, 'a sample with a disagreement');

  await decideAfresh(await pageOf(browser, tutor), attempts[1], `${unit}/1.2`);
  await signOffAllMet(centre, tutor, attempts[1]);
  const second = await draw(page, 2);
  for (const name of names) await look(page, second, name, 'agree', 'In order.');
  await page.goto(second);
  await page.getByRole('button', { name: 'Clear for claim' }).click();
  for (const a of attempts) expect((await marked(centre, tutor, a)).state).toBe('cleared');
}
