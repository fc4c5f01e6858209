// Handing over without signal: what was sealed joins the set whenever it arrives, and only what was not is held.
import { Deeds, wrong } from './oracle.js';
import { expect, jpeg, photo, sha256, test } from './phone.js';
import { everything, handOver, short, take } from './work.js';

test('the whole of Bay 7 off line, from the first tap to the last: then the tutor has it all', async ({ centre, phone, line }) => {
  const trainee = await centre.newTrainee('Sam Wholeday');
  const attempt = await centre.attempt(trainee, { brief: 'bay-7-fully-pumped' });
  const p = await phone(trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await p.page.goto(attempt.path);
  await everything(p.page, deeds, 7);
  await expect(p.page.locator('#missing')).toHaveText('Everything that is asked for is there.', { timeout: 30_000 });
  const asked = line.log.length;
  await p.kill();
  await p.open();
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(p.page.locator('#missing')).toHaveText('Everything that is asked for is there.', { timeout: 30_000 });
  await handOver(p.page);
  await expect(p.page.locator('#sealed')).toContainText('waiting for signal');
  expect(line.log.length, 'nothing went out').toBe(asked);
  await p.offline(false);
  await p.settled(p.page, 120_000);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
  expect(deeds.lines.size).toBeGreaterThan(20);
  expect(deeds.photos.size).toBeGreaterThan(3);
  const tutor = await centre.person('ellingham');
  await expect.poll(async () => (await centre.send(tutor, 'GET', '/api/waiting')).body.toString(), { timeout: 60_000 }).toContain(attempt.id);
});

test('listed photos late join the set and marking waits for them; one that was not listed is held', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await short(p.page, deeds);
  await take(p.page, deeds, 'before', [photo(150_000, 1), photo(150_000, 2)]);
  await p.holds(Object.fromEntries(deeds.lines), 2);
  await handOver(p.page);
  await expect(p.page.locator('#sealed')).toContainText('waiting for signal');
  const late = photo(120_000, 3);
  await p.page.locator('form.upload[data-item="before"] input[type=file]').last().setInputFiles([jpeg('late.jpg', late)]);
  await p.holds({}, 3);
  // There is a little signal: enough for words, not for photos.
  const blocked = line.next((s) => s.path.startsWith('/uploads/') && s.method === 'PATCH', { kind: 'drop' }, 1e6);
  await p.offline(false);
  const tutor = await centre.person('ellingham');
  const sheet = async () => centre.json<{ state: string; held: { file?: { sha256: string } }[]; seal?: { awaited: number }; seals?: { awaited: number }[] }>(tutor, 'GET', `/api/attempts/${attempt.id}`);
  await expect.poll(async () => (await sheet()).state, { timeout: 30_000 }).not.toBe('open');
  expect(JSON.stringify(await sheet())).toContain('"awaited":2');
  expect((await sheet()).state).toBe('handed_over');
  blocked.left = 0;
  await p.page.evaluate(() => dispatchEvent(new Event('online')));
  await p.settled();
  await expect.poll(async () => (await sheet()).state, { timeout: 60_000 }).not.toBe('handed_over'); // the marker has been
  expect((await sheet()).held.map((h) => h.file?.sha256)).toEqual([sha256(late)]);
  expect(await wrong(centre, attempt, line.ledger, deeds)).toEqual([]);
});
