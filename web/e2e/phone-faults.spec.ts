// Faults on the way: whatever the connection does, all arrives byte for byte, once.
import { Deeds, wrong } from './oracle.js';
import { expect, photo, random, test } from './phone.js';
import type { Seen } from './recorder.js';
import { short, take, type } from './work.js';

test.describe.configure({ retries: 0 }); // a loss seen once is a loss

const chunk = (s: Seen) => s.method === 'PATCH' && s.path.startsWith('/uploads/');
const entries = (s: Seen) => s.method === 'POST' && s.path.endsWith('/entries');

test('the connection is cut at 20 random bytes', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const next = random(20);
  line.cuts = Array.from({ length: 20 }, () => Math.floor(next() * 1_900_000)).sort((a, b) => a - b);
  const cuts = [...line.cuts];
  await take(p.page, deeds, 'before', [photo(1_000_000, 1), photo(1_000_000, 2)]);
  const nudge = setInterval(() => void p.page.evaluate(() => dispatchEvent(new Event('online'))).catch(() => undefined), 300); // spares the test the back-off
  await p.settled(p.page, 120_000);
  clearInterval(nudge);
  expect(line.cuts, `of ${cuts}`).toEqual([]);
  for (const f of line.ledger.of('file')) expect(line.ledger.again(f.id)).toBe(0);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('every second chunk is dropped', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  let n = 0;
  line.troubles.push((s) => (chunk(s) && n++ % 2 === 0 ? { kind: 'drop' } : undefined));
  await take(p.page, deeds, 'before', [photo(700_000, 3), photo(500_000, 4)]);
  await p.settled(p.page, 120_000);
  expect(line.made).toBeGreaterThan(2);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('every second answer to a chunk is dropped: the phone asks how far it came', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  let n = 0;
  line.troubles.push((s) => (chunk(s) && n++ % 2 === 0 ? { kind: 'mute' } : undefined));
  await take(p.page, deeds, 'before', [photo(700_000, 5)]);
  await p.settled(p.page, 120_000);
  // It asks, or Chromium repeats the piece by itself and the server says that it has that already.
  expect(line.log.some((s) => s.method === 'HEAD' || s.status === 409)).toBe(true);
  for (const f of line.ledger.of('file')) expect(line.ledger.again(f.id)).toBe(0);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('a byte is flipped on the way: the photo is refused, stays, and is sent afresh', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const flip = line.next(chunk, { kind: 'flip', at: 1234 });
  await take(p.page, deeds, 'before', [photo(400_000, 6)]);
  await expect.poll(() => flip.left).toBe(0);
  await p.settled(p.page, 90_000);
  expect(line.log.filter((s) => s.status === 460)).toHaveLength(1);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('lines of which each request goes out twice, and each second answer is lost, are there once', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  let n = 0;
  line.troubles.push((s) => (entries(s) ? { kind: n++ % 2 ? 'twice' : 'mute' } : undefined));
  await short(p.page, deeds);
  await p.settled();
  expect(n).toBeGreaterThan(1);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('a repeated POST of an upload is answered with the one there is, and never cuts it short', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const creations = (s: Seen) => s.method === 'POST' && s.path === '/uploads';
  line.next(creations, { kind: 'twice' });
  let chunks = 0;
  line.troubles.push((s) => (chunk(s) && ++chunks === 3 ? { kind: 'drop' } : undefined));
  await take(p.page, deeds, 'before', [photo(900_000, 7)]);
  await p.settled();
  const first = line.log.find(creations)!;
  // The same once more, as a phone would that never heard the answer.
  const again = await centre.send(attempt.trainee, 'POST', '/uploads', undefined, Object.fromEntries(Object.entries(first.headers)
    .filter(([k]) => /^(upload-|tus-|witnessmark-)/.test(k)).map(([k, v]) => [k, String(v)])));
  expect(again.headers.location).toBe(first.answer.location);
  expect(again.headers['upload-offset']).toBe('900000');
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the session ends in the middle of the queue: all is kept, and goes after signing in', async ({ centre, phone, line }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee);
  const p = await phone(trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await type(p.page, deeds, 'qv', '12.4');
  await p.settled();
  await p.context.clearCookies();
  await type(p.page, deeds, 'qv', '12.5');
  await take(p.page, deeds, 'before', [photo(90_000, 8)]);
  await expect(p.page.locator('body')).toContainText('Sign in again');
  await p.holds({ qv: '12.5' }, 1);
  expect(line.log.some((s) => s.status === 401)).toBe(true);
  await p.signedIn(await centre.signIn(trainee.signInName));
  await p.page.goto(attempt.path);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('what stands in for the server on a public network is not taken for its answer', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const portal = line.next((s) => s.method === 'POST' || s.method === 'PATCH', { kind: 'answer', status: 200, headers: { 'Content-Type': 'text/html' }, body: '<h1>Welcome</h1>' }, 3);
  await type(p.page, deeds, 'tr', '51.3');
  await take(p.page, deeds, 'before', [photo(80_000, 9)]);
  await expect.poll(() => portal.left, { timeout: 30_000 }).toBe(0);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});
