// A hold point is released where neither phone has signal, and counts once both have told of it.
import { expect, test, type Attempt, type Phone } from './phone.js';
import { password } from './settings.js';

const box = 'details.spotbox';

/** Opens both phones on their pages with signal, then takes it away. */
async function without(tutor: Phone, trainee: Phone, attempt: Attempt) {
  await tutor.visit('/on-the-spot');
  await trainee.visit(attempt.path);
  await tutor.offline();
  await trainee.offline();
  await tutor.page.goto('/on-the-spot');
  await trainee.page.goto(attempt.path);
}

/** What the trainee's phone shows to be read out. */
async function number(trainee: Phone): Promise<string> {
  await trainee.page.locator(`${box} summary`).click();
  await expect(trainee.page.locator(`${box} .digits`)).toHaveText(/^\d{3} \d{3}$/);
  return trainee.page.locator(`${box} .digits`).innerText();
}

/** What the tutor's phone shows in answer. */
async function release(tutor: Phone, attempt: Attempt, evidence: string): Promise<string> {
  const bar = tutor.page.locator(`section.spot[data-for="${attempt.id}"]`);
  await bar.locator('input[name=number]').fill(evidence);
  await bar.locator('textarea[name=words]').fill('Gauge at 1.2 bar, covers on. Tag 14.');
  await bar.getByRole('button').click();
  await expect(bar.locator('.digits')).toHaveText(/^(\d{3} ){3}\d{3}$/);
  return bar.locator('.digits').innerText();
}

async function type(trainee: Phone, digits: string) {
  await trainee.page.locator(`${box} input`).fill(digits);
  await trainee.page.locator(`${box} button`).click();
}

const pressures = { 'pressure@as-found': '0.6', 'pressure@as-left': '1.2' };

async function fill(trainee: Phone) {
  for (const [line, text] of Object.entries(pressures)) await trainee.page.locator(`[name="text:${line}"]`).fill(text);
  await trainee.holds(pressures);
}

/** The release that stands at the centre. */
async function released(centre: import('./centre.js').Centre, attempt: Attempt): Promise<any> {
  const sheet: any = await centre.sheet(attempt);
  return sheet.stages.find((s: any) => s.hold_point)?.hold_point.release;
}

test('a release on the spot, off line on both phones, counts when both have had signal', async ({ centre, attempt, phone }) => {
  const tutor = await phone(await centre.person('ellingham'));
  const trainee = await phone(attempt.trainee);
  await without(tutor, trainee, attempt);
  await fill(trainee);
  const digits = await release(tutor, attempt, await number(trainee));
  await type(trainee, digits);
  const said = () => trainee.page.locator(`${box} + .sent`);
  await expect(said()).toContainText('not yet confirmed');
  await trainee.kill();
  await trainee.open();
  await trainee.offline();
  await trainee.page.goto(attempt.path); // still without signal
  await expect(said()).toContainText('not yet confirmed');

  await trainee.offline(false);
  await trainee.settled();
  expect(await released(centre, attempt)).toBeUndefined();
  await tutor.offline(false);
  await tutor.settled();
  // What the hold point needs is safety-critical: the tutor enters what they saw on the instrument.
  await expect(tutor.page.locator(`section.spot[data-for="${attempt.id}"] .given`)).toContainText('not right');
  for (const phase of ['as-found', 'as-left']) {
    await centre.json(tutor.who, 'POST', `/api/attempts/${attempt.id}/check-reading`, { item: 'pressure', phase, password });
  }
  expect(await released(centre, attempt)).toMatchObject({ outcome: 'released_on_the_spot', words: 'Gauge at 1.2 bar, covers on. Tag 14.' });
  await trainee.page.goto(attempt.path);
  await expect(trainee.page.locator('.hold.released')).toContainText('Released on the spot by');
});

test('a release that the other phone tells otherwise, later, is taken back on this one, and can be tried again', async ({ centre, attempt, phone }) => {
  const tutor = await phone(await centre.person('ellingham'));
  const trainee = await phone(attempt.trainee);
  await without(tutor, trainee, attempt);
  await fill(trainee);
  const evidence = await number(trainee);
  const digits = await release(tutor, attempt, evidence);
  await type(trainee, digits);
  const said = () => trainee.page.locator(`${box} + .sent`);
  await trainee.offline(false);
  await trainee.settled();
  await expect(said()).toContainText('not yet confirmed');
  const stage = await trainee.page.locator(box).getAttribute('data-stage');
  const now = new Date();
  const other = evidence.replace(/\d/g, (d) => String(9 - Number(d))).replace(/ /g, '');
  await centre.json(tutor.who, 'POST', `/api/attempts/${attempt.id}/spot-releases`, {
    id: crypto.randomUUID(), stage, day: new Intl.DateTimeFormat('en-CA', { timeZone: 'Europe/London' }).format(now), evidence_number: other,
    words: 'Gauge at 1.2 bar.', released_at: now.toISOString(),
  });
  await trainee.page.goto(attempt.path);
  await expect(said()).toContainText('This release does not count.');
  await expect(trainee.page.locator(box)).toBeVisible();
});

test('digits that were given for other evidence are wrong, five times and then there is a wait', async ({ centre, attempt, phone }) => {
  const tutor = await phone(await centre.person('ellingham'));
  const trainee = await phone(attempt.trainee);
  await without(tutor, trainee, attempt);
  const before = await number(trainee);
  const digits = await release(tutor, attempt, before);
  await fill(trainee); // after the number was read out
  await trainee.page.locator(`${box} summary`).click();
  await expect(trainee.page.locator(box)).not.toHaveAttribute('open');
  await expect(trainee.page.locator(`${box} .digits`)).toHaveText(''); // so that nobody reads out the one before
  expect(await number(trainee)).not.toBe(before);
  const said = trainee.page.locator(`${box} + .sent`);
  for (let i = 1; i <= 5; i++) {
    await type(trainee, digits);
    await expect(said).toContainText(i < 5 ? 'do not fit' : 'waits for a minute');
    await trainee.page.locator(`${box} input`).fill('');
    if (i < 5) {
      await trainee.page.locator(`${box} button`).click(); // nothing typed is no try
      await expect(said).toContainText('twelve digits');
    }
  }
  await type(trainee, digits);
  await expect(said).toContainText('waits for a minute');
  expect((await trainee.kept()).job).toEqual([]);
});
