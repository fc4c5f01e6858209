// The second half of a term: tutors are shown to agree or not, a verifier visits, and years later what nobody needs is erased.
import { expect, type Browser, type Page } from '@playwright/test';
import { Centre, type Person } from './centre.js';
import { clean, cleanOnBoth } from './look.js';
import { marked } from './marking.js';
import { command, copyOfCentre, OwnServer } from './server.js';
import { centre, day, names, pageOf, run, unit } from './term.js';

const apart = `${unit}/1.2`;

/** Somebody judges all of it blind, and finds one criterion of the first not yet met where they are strict. */
async function judgeBlind(page: Page, at: string, strict: boolean) {
  for (const [i] of names.entries()) {
    await page.goto(at);
    await page.getByRole('link', { name: `Work ${i + 1}` }).click();
    const of = (criterion: string) => page.getByRole('group', { name: `What you say of ${criterion}` });
    for (const name of names) await expect(page.locator('main')).not.toContainText(name);
    for (const criterion of ['1.1', '1.2', '4.1']) await of(`${unit}/${criterion}`).getByLabel('met', { exact: true }).check();
    if (strict && i === 0) {
      await of(apart).getByLabel('not yet met').check();
      const section = page.locator('.judged').filter({ has: of(apart) });
      await section.getByLabel('in which respect').selectOption({ index: 1 });
      await section.getByLabel('In your words').fill('One reading is no reading.');
      await cleanOnBoth(page, 'work that is judged blind');
    }
    await page.getByRole('button', { name: 'Keep what I said' }).click();
    await expect(page.getByRole('status')).toBeVisible();
  }
}

/** The quality assurer has two tutors without part in it judge the work blind; they differ on one criterion. */
export async function standardise(browser: Browser, assurer: Page, brief: string) {
  const judges = await Promise.all(['ellingham', 'aspinal'].map((name) => centre.person(name)));
  await assurer.goto(`/standardisations/new?brief=${brief}%201`);
  await assurer.getByLabel('What it is about').fill(`When a temperature has settled, ${run}`);
  for (const name of [...names, ...judges.map((j) => j.name)]) await assurer.getByLabel(name).check();
  await cleanOnBoth(assurer, 'what a standardisation may be held on');
  await assurer.getByRole('button', { name: 'Set it' }).click();
  const at = new URL(assurer.url()).pathname;
  for (const [i, judge] of judges.entries()) {
    await expect(assurer.locator('#agreement')).toHaveCount(0); // before all have judged nobody is told anything
    const page = await pageOf(browser, judge);
    await judgeBlind(page, at, i === 1);
    await page.close();
    await assurer.goto(at);
  }
  await expect(assurer.locator('#agreement')).toContainText('Too few');
  await expect(assurer.locator('#apart h3')).toHaveCount(1);
  await expect(assurer.locator('#apart')).toContainText('One reading is no reading.');
  await cleanOnBoth(assurer, 'how far people agree');
  await assurer.getByRole('button', { name: 'Close it' }).click();
  await expect(assurer.getByRole('button', { name: 'Close it' })).toHaveCount(0);
}

async function ask(verifier: Page, what: string, who: string) {
  await verifier.getByLabel('What is to be done').fill(what);
  await verifier.getByLabel('Who', { exact: true }).selectOption({ label: who });
  await verifier.getByLabel('By', { exact: true }).fill(day(14));
  await verifier.getByRole('button', { name: 'Keep the action' }).click();
}

/** What the verifier asks for: the first is about the first trainee's work. */
const asked = [`Say in the brief how long to wait, ${run}.`, `Put the meter's certificate on the wall, ${run}.`];

/** The quality assurer arranges a visit; its verifier, whom no script reaches, opens the link and asks for two things. */
export async function visit(browser: Browser, assurer: Page) {
  await assurer.goto('/visits');
  await assurer.getByLabel('Name').fill('Ottilie Marchbank');
  await assurer.getByLabel('Unit').selectOption(unit);
  await assurer.getByLabel('What the visit is for').fill('How the term went.');
  await assurer.getByLabel('Last day').fill(day(7));
  await assurer.getByLabel('Everything that was signed off or sent back').check();
  await assurer.getByRole('button', { name: 'Arrange it' }).click();
  const link = await assurer.getByLabel("The visit's link").inputValue();
  await cleanOnBoth(assurer, "a visit's link");

  const verifier = await pageOf(browser);
  // Nothing of the program's scripts comes through. Switched off altogether, axe could not run either.
  await verifier.route('**/*', (r) => (r.request().resourceType() === 'script' ? r.abort() : r.fallback()));
  await verifier.goto(link);
  await expect(verifier.locator('main')).toContainText('How the term went.');
  await cleanOnBoth(verifier, 'a visit to be opened');
  await verifier.getByRole('button', { name: 'Open the visit' }).click();
  await verifier.locator('#list').getByRole('link', { name: names[0] }).click();
  await verifier.getByLabel('I confirm it').check();
  await verifier.getByRole('button', { name: 'Keep it' }).click();
  await ask(verifier, asked[0], 'Kwabena Rathmell');
  await cleanOnBoth(verifier, 'an attempt as a verifier reads it');
  await verifier.goto('/visit');
  await ask(verifier, asked[1], 'Imelda Farrowby');
  for (const what of asked) await expect(verifier.locator('main')).toContainText(what);
  await cleanOnBoth(verifier, "a verifier's list");
  expect((await verifier.goto('/sampling'))!.status(), 'the visit is all that the link opens').toBeGreaterThanOrEqual(400);
}

/** What a verifier asked for is closed, by somebody other than whoever was to do it. */
export async function close(manager: Page, assurer: Page) {
  const action = (page: Page, what: string) => page.locator('#actions tbody tr').filter({ hasText: what });
  for (const [what, owner, other] of [[asked[0], assurer, manager], [asked[1], manager, assurer]] as const) {
    await owner.goto('/actions');
    await expect(action(owner, what).getByRole('button')).toHaveCount(0);
    await other.goto('/actions');
    if (other === manager) await cleanOnBoth(other, 'actions');
    await action(other, what).getByLabel('What was done, and how you know').fill('It is done; I have seen it.');
    await action(other, what).getByRole('button').click();
    await expect(action(other, what)).toHaveCount(0);
  }
}

/** On a copy whose clock goes ahead three years pass. What is past its time is proposed, one trainee's is held, and a fortnight later
 * another person has the rest erased; the decision log holds. */
export async function threeYearsOn(manager: Page, assurer: Page, tutor: Person, held: Person, attempts: string[]) {
  const copy = await copyOfCentre(`later-${run}`);
  const years = 3 * 366 + 1;
  let later = await OwnServer.start(copy, years);
  let list: string;
  try {
    await manager.goto(`${later.origin}/keeping`);
    await manager.getByRole('button', { name: 'Propose what is past its time' }).click();
    list = new URL(manager.url()).pathname;
    await expect(manager.getByRole('button', { name: 'Erase all of it' })).toHaveCount(0); // neither alone nor at once
    await assurer.goto(later.origin + list);
    await expect(assurer.locator('main')).toContainText('then somebody else can approve it');
    await manager.goto(`${later.origin}/keeping`);
    await manager.getByLabel('Whose').first().selectOption(held.id);
    await manager.getByLabel('Why', { exact: true }).fill('A dispute is before a court.');
    await manager.getByRole('button', { name: 'Hold it' }).click();
    await cleanOnBoth(manager, 'keeping');
  } finally {
    await later.stop();
  }
  later = await OwnServer.start(copy, years + 15);
  try {
    const then = new Centre(later.port);
    await assurer.goto(later.origin + list);
    await cleanOnBoth(assurer, 'what is to be erased');
    const photo = (await then.json<{ stages: { items: { files: { id: string }[] }[] }[] }>(tutor, 'GET', `/api/attempts/${attempts[0]}`))
      .stages.flatMap((s) => s.items).flatMap((i) => i.files)[0].id;
    await then.bytes(tutor, photo);
    await assurer.getByRole('button', { name: 'Erase all of it' }).click();
    await expect.poll(async () => { await assurer.goto(later.origin + list); return assurer.locator('.title').innerText(); }, { timeout: 60_000 }).toContain('Erased');
    await clean(assurer, 'what was erased');
    expect((await then.send(tutor, 'GET', `/api/files/${photo}`, undefined, {}, [404, 409, 410])).status).toBeGreaterThanOrEqual(400);
    expect((await marked(then, tutor, attempts[0])).state).toBe('destroyed');
    expect((await marked(then, tutor, attempts[1])).state, 'held').toBe('claimed');
  } finally {
    await later.stop();
  }
  await command(copy, 'audit'); // fails where anything of the log does not hold
}
