// The browser is killed at every step of the work, and all of it comes back; the server is killed, and nothing that it
// acknowledged is lost.
import { Deeds, wrong } from './oracle.js';
import { expect, photo, test, type Phone } from './phone.js';
import { OwnServer } from './server.js';
import { handOver, lineOf, short, take, tick, type } from './work.js';

test.describe.configure({ retries: 0 }); // a loss seen once is a loss

const text = (p: Phone, name: string) => lineOf(p.page, name).locator('[name^="text:"]').first();

test('the browser is killed after a digit, off line: it stands there again', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await type(p.page, deeds, 'qv', '12.4');
  await p.holds({ qv: '12.4' });
  await p.kill();
  await p.open();
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(text(p, 'qv')).toHaveValue('12.4');
  await p.offline(false);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the browser is killed after a tick and a choice: both are ticked again', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await tick(p.page, deeds, 'risk');
  await tick(p.page, deeds, 'enough', 'it does not');
  await p.holds({ risk: deeds.lines.get('risk')!, enough: 'it does not' });
  await p.again(attempt.path);
  await expect(text(p, 'risk')).toBeChecked();
  await expect(lineOf(p.page, 'enough').getByLabel('it does not', { exact: true })).toBeChecked();
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the browser is killed after photos were chosen, off line: they are shown, then sent, each once', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await take(p.page, deeds, 'before', [photo(200_000, 1), photo(150_000, 2)]);
  await p.holds({}, 2);
  await p.kill();
  await p.open();
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(p.page.locator('#item-before')).toContainText('kept on this phone');
  await p.offline(false);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the browser is killed half way through a photo: what had arrived is not sent again', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  let chunks = 0;
  line.troubles.push((s) => (s.method === 'PATCH' && ++chunks === 2 ? { kind: 'hang' } : undefined));
  await take(p.page, deeds, 'before', [photo(900_000, 3)]);
  await expect.poll(() => chunks).toBe(2);
  await p.again(attempt.path);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
  const [file] = line.ledger.of('file');
  expect(line.ledger.again(file.id)).toBe(0);
  expect(line.ledger.chunks(file.id).filter((c) => c.offset === 0)).toHaveLength(1);
});

test('the browser is killed after handing over off line: the hand-over arrives with everything on its list', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await short(p.page, deeds);
  await take(p.page, deeds, 'before', [photo(120_000, 4), photo(120_000, 5)]);
  await p.holds(Object.fromEntries(deeds.lines), 2);
  await handOver(p.page);
  await expect(p.page.locator('#hand-over')).toContainText('Handed over on this phone');
  await p.again(attempt.path);
  await p.settled();
  expect((await centre.sheet(attempt)).state).not.toBe('open');
  expect(line.ledger.of('seal').map((s) => s.items.length)).toEqual([deeds.lines.size + deeds.photos.size]);
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the browser is killed between an entry and its answer: it is at the centre once', async ({ attempt, phone, line, centre }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  const muted = line.next((s) => s.path.endsWith('/entries'), { kind: 'mute' }, 1000);
  await type(p.page, deeds, 'tf', '70.1');
  await expect.poll(() => muted.left).toBeLessThan(1000);
  await p.kill();
  muted.left = 0;
  await p.open();
  await p.page.goto(attempt.path);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('the server is killed half way through a photo and while lines arrive: nothing acknowledged is lost', async ({ attempt, phone, line, centre }) => {
  const own = await OwnServer.start();
  try {
    line.to(own.port);
    const p = await phone(attempt.trainee);
    const deeds = new Deeds();
    await p.visit(attempt.path);
    let chunks = 0;
    line.troubles.push((s) => {
      if (s.method === 'PATCH' && ++chunks === 3) void own.kill();
      return undefined;
    });
    await take(p.page, deeds, 'before', [photo(1_500_000, 6), photo(300_000, 7)]);
    await type(p.page, deeds, 'qv', '12.7');
    await expect.poll(() => chunks, { timeout: 30_000 }).toBeGreaterThanOrEqual(3);
    await own.kill();
    await type(p.page, deeds, 'tf', '66.6');
    await own.start();
    await p.settled();
    expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
  } finally {
    await own.kill();
  }
});
