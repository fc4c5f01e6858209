// Private sites: who is told, what is covered, and what is left when an original is withdrawn.
import type { Page } from '@playwright/test';
import { test, expect, jpeg, photo, sha256, type Attempt, type Phone } from './phone.js';
import type { Centre } from './centre.js';

/** Opens a fresh attempt on a private site through the plan page. */
async function onSite(centre: Centre, phone: (who: any) => Promise<Phone>): Promise<{ p: Phone; a: Attempt }> {
  const a = await centre.attempt(await centre.newTrainee(), { planned: true });
  const p = await phone(a.trainee);
  await p.page.goto(a.path);
  await p.page.getByLabel('On a private site').check();
  await p.page.getByLabel('I agree this plan').check();
  await p.page.getByLabel('I have read the cautions').check();
  await p.page.getByLabel('Site code').fill('mill-04');
  await p.page.getByLabel('Who told the householder').fill('Mr Ellingham, the tutor');
  await p.page.getByRole('button', { name: 'Start' }).click();
  await expect(p.page.getByText('Private site MILL-04.')).toBeVisible();
  return { p, a };
}

/** Takes a photo and opens the dialog that it waits for. */
async function take(page: Page, name: string, bytes: Buffer) {
  await page.locator('#item-before input[type=file]').last().setInputFiles([jpeg(name, bytes)]);
  await page.getByRole('button', { name: 'Cover over and send' }).first().click();
  return page.getByRole('dialog', { name: 'Cover over' });
}

/** The file as the centre has it, once its copies are made. */
async function copied(centre: Centre, a: Attempt) {
  const at: { file?: any } = {};
  await expect(async () => {
    at.file = (await centre.sheet(a)).stages[0].items[0].files[0];
    expect(at.file?.preview).toBe(true);
  }).toPass({ timeout: 30_000, intervals: [100, 200, 400] });
  return at.file as { id: string; sha256: string; covers?: number; copy?: boolean; withdrawn?: boolean };
}

test('a private site asks for a code that is no address, and who told the householder', async ({ centre, phone }) => {
  const a = await centre.attempt(await centre.newTrainee(), { planned: true });
  const p = await phone(a.trainee);
  await p.page.goto(a.path);
  await expect(p.page.getByLabel('Site code')).toBeHidden();
  await p.page.getByLabel('On a private site').check();
  await p.page.getByLabel('I agree this plan').check();
  await p.page.getByLabel('I have read the cautions').check();
  await p.page.getByLabel('Site code').fill('14 Mill Lane');
  await p.page.getByRole('button', { name: 'Start' }).click();
  await expect(p.page.getByText('Never the address').first()).toBeVisible();
  await p.page.getByLabel('Site code').fill('MILL-04');
  await p.page.getByRole('button', { name: 'Start' }).click();
  await expect(p.page.getByText('Say who told the householder').first()).toBeVisible();
  expect((await centre.sheet(a)).state).toBe('planned');
});

test('a photo is covered with a finger before it is sent, and nobody is shown what lies under it', async ({ centre, phone }) => {
  const { p, a } = await onSite(centre, phone);
  const original = photo(60_000, 4);
  const dialog = await take(p.page, 'hall.jpg', original);
  expect((await p.kept()).file[0].hold).toBe(true);
  const box = (await dialog.locator('img').boundingBox())!;
  await p.page.mouse.move(box.x + 1, box.y + 1);
  await p.page.mouse.down();
  await p.page.mouse.move(box.x + box.width / 2, box.y + box.height - 1, { steps: 4 });
  await p.page.mouse.up();
  await expect(dialog.getByText('1 part is covered.')).toBeVisible();
  await dialog.getByRole('button', { name: 'Send with 1 part covered' }).click();
  await p.settled();
  const file = await copied(centre, a);
  expect(file).toMatchObject({ sha256: sha256(original), covers: 1, copy: true });
  const tutor = await centre.person('ellingham');
  const [seen, kept] = [await centre.bytes(tutor, file.id), (await centre.send(tutor, 'GET', `/api/files/${file.id}/original`)).body];
  expect(sha256(kept)).toBe(sha256(original));
  expect(sha256(seen)).not.toBe(sha256(original));
  // A quarter across and half down lies under the cover; three quarters across does not.
  const [under, beside] = await p.page.evaluate(async (id) => {
    const img = await createImageBitmap(await (await fetch(`/evidence/${id}`)).blob());
    const on = new OffscreenCanvas(img.width, img.height).getContext('2d')!;
    on.drawImage(img, 0, 0);
    const at = (x: number) => Math.max(...on.getImageData(Math.round(img.width * x), img.height >> 1, 1, 1).data.slice(0, 3));
    return [at(0.25), at(0.75)];
  }, file.id);
  expect(under).toBeLessThan(60);
  expect(beside).toBeGreaterThan(60);
});

test('covers are laid, moved, sized and taken away with buttons and keys alone', async ({ centre, phone }) => {
  const { p, a } = await onSite(centre, phone);
  const dialog = await take(p.page, 'post.jpg', photo(50_000, 5));
  await dialog.getByRole('button', { name: 'Add a cover' }).click();
  const first = dialog.getByRole('button', { name: /^Cover 1 of/ });
  await expect(first).toBeFocused();
  const before = (await first.boundingBox())!;
  await p.page.keyboard.press('ArrowRight');
  await p.page.keyboard.press('Shift+ArrowDown');
  await dialog.getByRole('button', { name: 'Move the cover up' }).click();
  await dialog.getByRole('button', { name: 'Make the cover wider' }).click();
  const after = (await first.boundingBox())!;
  expect(after.x).toBeGreaterThan(before.x);
  expect(after.y).toBeLessThan(before.y);
  expect(after.width).toBeGreaterThan(before.width);
  expect(after.height).toBeGreaterThan(before.height);
  await dialog.getByRole('button', { name: 'Add a cover' }).click();
  await p.page.keyboard.press('Delete');
  await expect(dialog.getByText('1 part is covered.')).toBeVisible();
  await dialog.getByRole('button', { name: 'Send with 1 part covered' }).click();
  await p.settled();
  expect((await copied(centre, a)).covers).toBe(1);
});

test('a photo waits to be covered over a killed browser, and goes when there is nothing to cover', async ({ centre, phone }) => {
  const { p, a } = await onSite(centre, phone);
  const original = photo(40_000, 6);
  const dialog = await take(p.page, 'boiler.jpg', original);
  await dialog.getByRole('button', { name: 'Not now' }).click();
  await p.again(a.path);
  expect((await centre.sheet(a)).stages[0].items[0].files).toHaveLength(0);
  await p.page.getByRole('button', { name: 'Cover over and send' }).click();
  await p.page.getByRole('button', { name: 'Nothing to cover: send it' }).click();
  await p.settled();
  const file = await copied(centre, a);
  expect(file).toMatchObject({ sha256: sha256(original) });
  expect(sha256(await centre.bytes(a.trainee, file.id)), 'of a private site a copy is shown, without what the camera wrote').not.toBe(sha256(original));
  const kept = (await centre.send(await centre.person('ellingham'), 'GET', `/api/files/${file.id}/original`)).body;
  expect(sha256(kept)).toBe(sha256(original));
});

test('a tutor covers more and withdraws the original: digest, covered copy and record stay', async ({ centre, phone }) => {
  const { p, a } = await onSite(centre, phone);
  const original = photo(45_000, 7);
  const dialog = await take(p.page, 'keys.jpg', original);
  await dialog.getByRole('button', { name: 'Nothing to cover: send it' }).click();
  await p.settled();
  const file = await copied(centre, a);
  const tutor = await centre.person('ellingham');
  const desk = await phone(tutor);
  await desk.page.goto(a.path);
  await desk.page.getByRole('button', { name: 'Cover something' }).click();
  const more = desk.page.getByRole('dialog', { name: 'Cover over' });
  await expect(more.getByRole('button', { name: 'Keep 0 covers' })).toBeDisabled();
  await more.getByRole('button', { name: 'Add a cover' }).click();
  await more.getByRole('button', { name: 'Keep 1 cover' }).click();
  await expect(desk.page.getByText('1 part is covered.')).toBeVisible();
  expect((await copied(centre, a)).covers).toBe(1);
  await desk.page.goto(a.path);
  await desk.page.getByText('Withdraw the original').click();
  await desk.page.locator('form[action$="/withdraw"]').getByLabel('Why').fill('A neighbour asked for it.');
  await desk.page.getByRole('button', { name: 'Withdraw it' }).click();
  await expect(desk.page.getByText('original withdrawn')).toBeVisible();
  await expect(desk.page.getByText('A neighbour asked for it.')).toBeVisible();
  expect((await centre.send(tutor, 'GET', `/api/files/${file.id}/original`, undefined, {}, [404])).status).toBe(404);
  const now = await copied(centre, a);
  expect(now).toMatchObject({ sha256: sha256(original), withdrawn: true, copy: true });
  expect((await centre.bytes(a.trainee, file.id)).length).toBeGreaterThan(0);
});
