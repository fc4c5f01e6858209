// The person before the phone: two tabs, a full phone, a wrong clock, signing out with a queue, a phone that two share, and a
// program that is renewed meanwhile.
import { Deeds, wrong } from './oracle.js';
import { expect, photo, sha256, test } from './phone.js';
import { lineOf, said, take, type } from './work.js';

test('two tabs: one sends, both show it, nothing goes twice', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const other = await p.context.newPage();
  await other.goto(attempt.path);
  await type(p.page, deeds, 'qv', '12.4');
  await type(other, deeds, 'tf', '69.8');
  await take(p.page, deeds, 'before', [photo(300_000, 1)]);
  await take(other, deeds, 'before', [photo(300_000, 2)]);
  await p.settled();
  await expect(said(p.page, 'qv')).toContainText('received');
  await expect(said(other, 'tf')).toContainText('received');
  const creations = line.log.filter((s) => s.method === 'POST' && s.path === '/uploads' && s.status === 201);
  expect(creations).toHaveLength(2);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('two tabs off line: what each took is sent by whichever is left', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const other = await p.context.newPage();
  await other.goto(attempt.path);
  await p.offline();
  await type(p.page, deeds, 'tr', '51.3');
  await take(other, deeds, 'before', [photo(200_000, 3)]);
  await p.holds({ tr: '51.3' }, 1);
  await p.page.close();
  p.page = other;
  await p.offline(false);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the phone is full: it says which photo was not kept and what to free, keeps the next that fits, and keeps again once there is room', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  // Before anything is kept: Chromium remembers for half a minute how much room there was.
  const cdp = await p.context.newCDPSession(p.page);
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: line.origin, quotaSize: 3_000_000 });
  await p.visit(attempt.path);
  await p.offline();
  await type(p.page, deeds, 'qv', '12.4');
  await p.holds({ qv: '12.4' });
  const [large, small] = [photo(5_000_000, 4), photo(100_000, 5)];
  await take(p.page, new Deeds(), 'before', [large, small]);
  const said = p.page.locator('#item-before').getByRole('alert');
  await expect(said).toHaveText(/^Not kept for “\d+ The rig as you find it”: before-1\.jpg \(\d MB\)\. This phone has no room left\. Take away films/);
  deeds.took('before', small);
  await p.holds({ qv: '12.4' }, 1);
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: line.origin });
  await take(p.page, deeds, 'before', [large]);
  await p.holds({ qv: '12.4' }, 2);
  await expect(said).toHaveText('');
  await p.offline(false);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

for (const [how, days] of [['a day ahead', 1], ['a day behind', -1]] as const) {
  test(`the phone's clock is ${how}: what it captured is dated by the difference it knows`, async ({ attempt, phone, line, centre }) => {
    const p = await phone(attempt.trainee);
    const deeds = new Deeds();
    await p.context.clock.install({ time: Date.now() + days * 86_400_000 });
    await p.visit(attempt.path);
    await type(p.page, deeds, 'qv', '12.3');
    await p.settled();
    const before = Date.now();
    await p.offline();
    await type(p.page, deeds, 'tf', '69.8');
    await p.holds({ tf: '69.8' });
    const after = Date.now();
    await p.offline(false);
    await p.settled();
    const sent = line.log.filter((s) => s.path.endsWith('/entries')).flatMap((s) => JSON.parse(s.body.toString()).entries).find((e) => e.item === 'tf');
    const meant = Date.parse(sent.captured_at) + sent.clock_offset_ms;
    expect(meant).toBeGreaterThan(before - 3000);
    expect(meant).toBeLessThan(after + 3000);
    expect(Math.abs(Date.parse(sent.captured_at) - meant)).toBeGreaterThan(86_000_000);
    expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
  });
}

test('signing out with a queue warns, keeps it under its name, and it goes when that person is back', async ({ centre, phone, line }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee);
  const p = await phone(trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await type(p.page, deeds, 'qv', '12.4');
  await take(p.page, deeds, 'before', [photo(100_000, 5)]);
  await p.holds({ qv: '12.4' }, 1);
  await p.page.getByRole('button', { name: 'Sign out' }).click();
  const dialog = p.page.getByRole('dialog');
  await expect(dialog).toContainText('1 line, 1 photo');
  await dialog.locator('button[value=go]').click();
  // Nobody is shown anything of it meanwhile.
  await expect(p.page.locator('[data-attempt]')).toHaveCount(0);
  await p.page.goto(attempt.path).catch(() => undefined);
  await expect(p.page.locator('body')).not.toContainText('Bay 7');
  expect(line.ledger.of('file')).toEqual([]);
  await p.offline(false);
  await p.page.goto('/sign-in');
  await p.page.getByLabel('Sign-in name').fill(trainee.signInName);
  await p.page.getByLabel('Password').fill('bay-seven-demo');
  await p.page.getByRole('button', { name: 'Sign in' }).click();
  await p.page.waitForURL(/tasks/);
  await p.page.goto(attempt.path);
  await p.settled();
  const back = await centre.signIn(trainee.signInName);
  expect(await wrong(centre, { ...attempt, trainee: back }, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('a phone that two share: the second sees nothing of the first, and sends nothing under another name', async ({ centre, phone, line }) => {
  const [first, second] = [await centre.newTrainee('Alex Firstrig'), await centre.newTrainee('Kit Secondrig')];
  const [mine, theirs] = [await centre.attempt(first), await centre.attempt(second)];
  const p = await phone(first);
  const deeds = new Deeds();
  await p.visit(mine.path);
  await p.offline();
  await type(p.page, deeds, 'qv', '11.1');
  await p.holds({ qv: '11.1' });
  // The second signs in while the first one's page was simply left.
  await p.page.goto('about:blank');
  await p.offline(false);
  await p.signedIn(second);
  await p.page.goto(theirs.path);
  await expect(p.page.locator('body')).toContainText('Kit Secondrig');
  await expect(p.page.locator('body')).not.toContainText('Alex Firstrig');
  const hers = new Deeds();
  await type(p.page, hers, 'qv', '22.2');
  await expect(said(p.page, 'qv')).toContainText('received');
  await p.offline();
  await p.page.goto(mine.path).catch(() => undefined);
  await expect(p.page.locator('body')).not.toContainText('Alex Firstrig');
  await expect(lineOf(p.page, 'qv')).toHaveCount(0);
  await p.offline(false);
  expect(await wrong(centre, theirs, line.ledger, hers)).toEqual([]);
  expect(line.ledger.of('entry').filter((e) => e.text === '11.1')).toEqual([]);
  await p.signedIn(first);
  await p.page.goto(mine.path);
  await p.settled();
  expect(await wrong(centre, mine, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('a new edition of the program comes in the middle of the queue: nothing of it is lost', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await type(p.page, deeds, 'qv', '12.4');
  await take(p.page, deeds, 'before', [photo(400_000, 6)]);
  await p.holds({ qv: '12.4' }, 1);
  let served = 0;
  line.troubles.push((s) => {
    if (s.path === '/sw.js') served++;
    return s.path === '/sw.js' ? { kind: 'rewrite', body: (text) => `${text}\n// another edition\n` } : s.method === 'PATCH' ? { kind: 'delay', ms: 150 } : undefined;
  });
  const changed = p.page.evaluate(() => new Promise((done) => navigator.serviceWorker.addEventListener('controllerchange', () => done(true), { once: true })));
  await p.offline(false);
  await p.page.evaluate(async () => { await (await navigator.serviceWorker.getRegistration())!.update(); });
  expect(await changed).toBe(true);
  expect(served).toBeGreaterThan(0);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the original is what arrives: nothing of the camera was taken out on the way', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const original = photo(1_200_000, 7);
  await take(p.page, deeds, 'before', [original]);
  await expect(p.page.locator('#item-before img').first()).toBeVisible();
  await p.settled();
  expect(line.ledger.of('file').map((f) => f.digest)).toEqual([sha256(original)]);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});
