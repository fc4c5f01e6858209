// Readings, figures and working on a phone: keys, units, how a line reads, the instrument in hand, paper sheets, who helped.
import { expect, photo, test, type Phone } from './phone.js';
import { Deeds } from './oracle.js';
import { lineOf, take } from './work.js';
import type { Page } from '@playwright/test';

const field = (page: Page, line: string) => lineOf(page, line).locator('[name^="text:"]');
const unit = (page: Page, line: string) => lineOf(page, line).locator('[name^="unit:"]');
const read = (page: Page, line: string) => lineOf(page, line).locator('.asread');
const keyNamed = (page: Page, name: string) => page.getByRole('group', { name: /Keys for the number|Signs for the working/ }).getByRole('button', { name, exact: true });

/** What the API has of a line. */
interface Kept { entry?: { text: string; unit?: string; working?: string; instrument?: { serial: string; kind: string; out_of_date: boolean } } }
interface Whole { stages: { key: string; helped?: { text: string }; items: { key: string; done: boolean; files: unknown[]; lines: (Kept & { phase?: string })[] }[] }[] }
const lines = (s: Whole, item: string) => s.stages.flatMap((st) => st.items).find((i) => i.key === item)!;

test('the keys that a phone hides go into the field, which keeps the focus', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await field(p.page, 'tf').tap();
  await expect(field(p.page, 'tf')).toHaveAttribute('inputmode', 'decimal');
  for (const [name, value] of [['minus', '−'], ['decimal point', '−.'], ['comma', '−.,'], ['times ten to the power of', '−.,×10^']]) {
    await keyNamed(p.page, name).tap();
    await expect(field(p.page, 'tf')).toHaveValue(value);
    await expect(field(p.page, 'tf')).toBeFocused();
  }
  await field(p.page, 'tf').fill('85');
  await keyNamed(p.page, 'out of range of the instrument: more than').tap();
  await expect(field(p.page, 'tf')).toHaveValue('>85');
  await keyNamed(p.page, 'out of range of the instrument: less than').tap();
  await expect(field(p.page, 'tf')).toHaveValue('<85');
  await keyNamed(p.page, 'out of range of the instrument: less than').tap();
  await expect(field(p.page, 'tf')).toHaveValue('85');
  const sizes = await p.page.locator('.symbols button').evaluateAll((all) => all.map((b) => Math.min(b.getBoundingClientRect().width, b.getBoundingClientRect().height)));
  expect(Math.min(...sizes)).toBeGreaterThanOrEqual(44);
  await lineOf(p.page, 'heat').locator('textarea').tap();
  for (const name of ['square root of', 'times', 'delta']) await keyNamed(p.page, name).tap();
  await expect(lineOf(p.page, 'heat').locator('textarea')).toHaveValue('√×Δ');
  await field(p.page, 'heat').tap();
  await expect(keyNamed(p.page, 'out of range of the instrument: more than')).toHaveCount(0); // a figure is no reading
});

test('a number is shown as it was read, and a lone comma is settled by a tap', async ({ centre, attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await field(p.page, 'qv').fill('12,4');
  await expect(read(p.page, 'qv')).toContainText('Tap what you mean. Otherwise it is kept as it stands, and your tutor reads it.');
  await read(p.page, 'qv').getByRole('button', { name: '12.4', exact: true }).tap();
  await expect(field(p.page, 'qv')).toHaveValue('12.4');
  await expect(read(p.page, 'qv').getByRole('math')).toHaveAttribute('aria-label', /12\.4/);
  await expect(read(p.page, 'qv').getByRole('button')).toHaveCount(0);
  await field(p.page, 'tf').fill('1,234');
  await expect(read(p.page, 'tf')).toContainText('If you mean the other, tap it.');
  await expect(read(p.page, 'tf')).toContainText('A value from 30 to 85');
  await field(p.page, 'tr').fill('>75');
  await expect(read(p.page, 'tr')).toContainText('out of range of the instrument, more than');
  await p.settled(); // nothing of this keeps a line back
  const sheet = await centre.json<Whole>(attempt.trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(['qv', 'tf', 'tr'].map((i) => lines(sheet, i).lines[0].entry?.text)).toEqual(['12.4', '1,234', '>75']);
});

test('working is typeset as it is typed, and stops with a caret where it cannot be read', async ({ centre, attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  const area = lineOf(p.page, 'heat').locator('textarea');
  await area.fill('12.4 ÷ 60 × 4.18 × √(9) = 2.6');
  await expect(read(p.page, 'heat').locator('math msqrt')).toBeVisible();
  await area.fill('Q = 0,28 × 4');
  await expect(read(p.page, 'heat').locator('pre')).toBeVisible();
  expect(await read(p.page, 'heat').locator('pre').textContent()).toBe('Q = 0,28 × 4\n     ^');
  await expect(read(p.page, 'heat')).toContainText('There is a comma here');
  await p.settled();
  const sheet = await centre.json<Whole>(attempt.trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(lines(sheet, 'heat').lines[0].entry?.working).toBe('Q = 0,28 × 4');
});

test('without signal nothing is asked, and what was typed stands as it was typed', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await p.offline();
  const asked: string[] = [];
  p.page.on('request', (r) => { if (r.url().endsWith('/look')) asked.push(r.url()); });
  await field(p.page, 'qv').fill('12,4');
  await p.holds({ qv: '12,4' });
  await p.page.waitForTimeout(900); // longer than the look waits
  expect(asked).toEqual([]);
  await expect(read(p.page, 'qv')).toBeEmpty();
});

test('another unit is chosen beside the field, kept with the reading, and comes back', async ({ centre, attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await expect(unit(p.page, 'qv').locator('option')).toHaveText(['L/min', 'L/s', 'm³/h']);
  await expect(unit(p.page, 'tf')).toHaveCount(0);
  await p.offline();
  await field(p.page, 'qv').fill('0.2067');
  await unit(p.page, 'qv').selectOption('L/s');
  await p.holds({ qv: '0.2067' });
  await p.again(attempt.path);
  await expect(unit(p.page, 'qv')).toHaveValue('L/s');
  await p.offline(false);
  await p.settled();
  const sheet = await centre.json<Whole>(attempt.trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(lines(sheet, 'qv').lines[0].entry).toMatchObject({ text: '0.2067', unit: 'L/s' });
  await p.page.reload();
  await expect(unit(p.page, 'qv')).toHaveValue('L/s');
});

const hand = (page: Page, kind: string) => page.locator(`.hand[data-kind="${kind}"]`).first();

/** Says which instrument is in hand. */
async function choose(page: Page, kind: string, serial: string, due: string) {
  const block = hand(page, kind);
  await block.locator('summary').tap();
  await block.getByLabel('Serial number').fill(serial);
  await block.getByLabel('Calibration due').fill(due);
  await block.getByRole('button', { name: 'This one' }).tap();
  await expect(block.locator('.which')).toContainText(`serial ${serial}`);
}

test('an instrument is taken in hand without signal, and goes with what is read from then on', async ({ centre, phone }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee, { brief: 'bay-7-fully-pumped' });
  const p: Phone = await phone(trainee);
  await p.visit(attempt.path);
  await p.offline();
  await choose(p.page, 'contact thermometer', 'TC-4471', '2020-01-31');
  await expect(hand(p.page, 'contact thermometer').locator('.outofdate')).toBeVisible();
  await take(p.page, new Deeds(), await hand(p.page, 'contact thermometer').locator('form.upload').getAttribute('data-item') ?? '', [photo(50_000, 1)]);
  await field(p.page, 'tf_found@as-found').fill('58.0');
  await p.holds({ 'tf_found@as-found': '58.0' }, 1);
  await p.again(attempt.path);
  await expect(hand(p.page, 'contact thermometer').locator('.which')).toContainText('serial TC-4471, calibration due 31 January 2020');
  await p.offline(false);
  await p.settled();
  const sheet = await centre.json<Whole>(trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(lines(sheet, 'tf_found').lines[0].entry).toMatchObject({ text: '58.0', instrument: { serial: 'TC-4471', kind: 'contact thermometer', out_of_date: true } });
  await p.page.reload();
  await expect(hand(p.page, 'contact thermometer').locator('.which')).toContainText('serial TC-4471');
  await choose(p.page, 'contact thermometer', 'TC-5000', '2099-01-31');
  await expect(hand(p.page, 'contact thermometer').locator('.outofdate')).toBeHidden();
  await field(p.page, 'coil_found@as-found').fill('61.0');
  await p.settled();
  const later = await centre.json<Whole>(trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(['tf_found', 'coil_found'].map((i) => lines(later, i).lines[0].entry?.instrument?.serial)).toEqual(['TC-4471', 'TC-5000']);
  const tutor = await phone(await centre.person('ellingham'));
  await tutor.page.goto(attempt.path);
  const seen = tutor.page.locator('#item-tf_found');
  await expect(seen).toContainText('Read with: contact thermometer, serial TC-4471, calibration due 31 January 2020.');
  await expect(seen).toContainText('calibration had run out');
  await expect(tutor.page.locator('.photos img').first()).toBeVisible();
});

test('a photo of a paper sheet goes with a typed line and does not stand for it', async ({ centre, attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await p.page.locator('#item-qv').getByText('Written on paper? Add a photo of the sheet').tap();
  await take(p.page, new Deeds(), 'qv', [photo(50_000, 2)]);
  await p.settled();
  const sheet = await centre.json<Whole>(attempt.trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect([lines(sheet, 'qv').files.length, lines(sheet, 'qv').done]).toEqual([1, false]);
  await expect(p.page.locator('#state-qv')).toContainText('still to do');
  const tutor = await phone(await centre.person('ellingham'));
  await tutor.page.goto(attempt.path);
  await expect(tutor.page.locator('#item-qv')).toContainText('From paper, photo of the sheet');
});

test('who helped is kept for each stage and read by the tutor', async ({ centre, attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await p.offline();
  await p.page.locator('#stage-2').getByLabel('Did somebody help, or do part of it? Say who did what.').fill('Jo set the pump; I read the meter.');
  await p.holds({ 'helped/run': 'Jo set the pump; I read the meter.' });
  await p.offline(false);
  await p.settled();
  const sheet = await centre.json<Whole>(attempt.trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(sheet.stages.map((s) => s.helped?.text)).toEqual([undefined, 'Jo set the pump; I read the meter.']);
  const tutor = await phone(await centre.person('ellingham'));
  await tutor.page.goto(attempt.path);
  await expect(tutor.page.locator('#stage-2')).toContainText('Jo set the pump; I read the meter.');
});

test('instrument, unit and help are kept by the forms alone where no script runs', async ({ centre, phone }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee, { brief: 'bay-7-fully-pumped' });
  const p = await phone(trainee, { javaScriptEnabled: false });
  await p.page.goto(attempt.path);
  const block = hand(p.page, 'contact thermometer');
  await block.locator('summary').tap();
  await block.getByLabel('Serial number').fill('TC-4471');
  await block.getByRole('button', { name: 'This one' }).tap();
  await expect(hand(p.page, 'contact thermometer').locator('.which')).toHaveText('serial TC-4471, no date of calibration');
  await field(p.page, 'tf_found@as-found').fill('58.0');
  await p.page.locator('#stage-1').getByLabel('Did somebody help, or do part of it? Say who did what.').fill('Jo held the lamp.');
  await p.page.getByRole('button', { name: 'Keep what is in stage 1' }).tap();
  await expect(p.page.getByText('Kept.', { exact: true })).toBeVisible();
  const sheet = await centre.json<Whole>(trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(lines(sheet, 'tf_found').lines[0].entry).toMatchObject({ text: '58.0', instrument: { serial: 'TC-4471' } });
  expect(sheet.stages[0].helped?.text).toBe('Jo held the lamp.');
});
