// What a phone keeps, shows and sends, from the first tap to the last, without signal in between.
import { Deeds, wrong } from './oracle.js';
import { expect, jpeg, photo, test, type Attempt, type Phone } from './phone.js';
import type { Centre } from './centre.js';
import { handOver, lineOf, said, short, take, type } from './work.js';

const text = (p: Phone, name: string) => lineOf(p.page, name).locator('[name^="text:"]').first();

/** A line as the first module keeps it, typed so long ago, on a phone that heard the server's clock long before. */
const early = (p: Phone, a: Attempt, item: string, value: string, age: number) => p.page.evaluate(async ({ person, row }) => {
  const db = await new Promise<IDBDatabase>((done) => { const r = indexedDB.open(`wm-${person}`); r.onsuccess = () => done(r.result); });
  const tx = db.transaction(['line', 'meta'], 'readwrite');
  const s = tx.objectStore('line');
  tx.objectStore('meta').put({ offset: 0, at: 0 }, 'clock');
  const key = `${row.attempt} ${row.line}`;
  const before = await new Promise((done) => { const r = s.get(key); r.onsuccess = () => done(r.result); });
  await new Promise((done) => { s.put({ ...row, before }, key).onsuccess = done; });
  db.close();
}, {
  person: a.trainee.id,
  row: { attempt: a.id, line: item, item, part: '', phase: '', text: value, unit: '', working: '', at: Date.now() - age, clock: null, state: 'kept', early: true },
});

/** The same person puts a value into a line by another phone, which knows the time as this one does. */
function elsewhere(centre: Centre, a: Attempt, item: string, value: string) {
  const now = new Date().toISOString();
  return centre.send(a.trainee, 'POST', `/api/attempts/${a.id}/entries`, { sent_at: now, entries: [{ id: crypto.randomUUID(), item, text: value, captured_at: now, clock_offset_ms: 0 }] });
}

test('off line from the first tap to the last: typed, photographed, closed, opened, handed over; then all is received', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.page.reload();
  await p.offline();
  await p.page.goto(attempt.path);
  await short(p.page, deeds);
  await expect(said(p.page, 'qv')).toHaveText('kept on this phone');
  await expect(p.page.locator('#progress')).toHaveText('7 of 8 items are there.');
  await handOver(p.page);
  await expect(p.page.locator('#hand-over')).toContainText('some things are still missing');
  await expect(p.page.locator('#missing a')).toHaveText([/The rig as you find it/]);
  await take(p.page, deeds, 'before', [photo(200_000, 1), photo(300_000, 2)]);
  await expect(p.page.locator('#item-before .queue li')).toHaveCount(2);
  for (const shown of await p.page.locator('#item-before .queue img').all()) { // out of sight none is decoded
    await shown.scrollIntoViewIfNeeded();
    await expect.poll(() => shown.evaluate((img: HTMLImageElement) => img.naturalWidth)).toBe(320);
  }
  await expect(p.page.locator('#item-before .queue .sent')).toHaveText(['kept on this phone', 'kept on this phone']);
  await expect(p.page.locator('#missing')).toHaveText('Everything that is asked for is there.');
  await p.holds(Object.fromEntries(deeds.lines), 2);
  await p.kill();
  await p.open();
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(text(p, 'tf')).toHaveValue('69.8');
  await expect(p.page.locator('#item-before .queue img')).toHaveCount(2);
  await expect(p.page.locator('#kept')).toContainText('kept on this phone, waiting for signal');
  await handOver(p.page);
  await expect(p.page.locator('#sealed')).toHaveText(/^Handed over on this phone at \d\d:\d\d, waiting for signal: 0 of 10 received\.$/);
  await expect(p.page.getByRole('button', { name: 'Hand over to your tutor' })).toBeHidden();
  await expect(p.page.locator('#going a')).toBeHidden();
  await expect(p.page.locator('#state-qv')).toContainText('handed over');
  await p.page.reload();
  await expect(p.page.locator('#sealed')).toContainText('0 of 10 received');
  await p.offline(false);
  await expect(p.page.locator('#sealed')).toContainText('10 of 10 received', { timeout: 60_000 });
  await p.settled();
  expect(line.ledger.of('seal').map((s) => s.items.length)).toEqual([10]);
  expect((await centre.sheet(attempt)).state).not.toBe('open');
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('a photo that an older edition kept, with its bytes in its own row, arrives', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  const bytes = photo(200_000, 1);
  deeds.took('before', bytes);
  await p.page.goto('/api/openapi.json'); // a page of this origin that opens nothing
  await p.page.evaluate(async ({ person, row, base64 }) => {
    const asked = indexedDB.open(`wm-${person}`, 1);
    asked.onupgradeneeded = () => {
      for (const name of ['line', 'meta']) asked.result.createObjectStore(name);
      asked.result.createObjectStore('job', { keyPath: 'n', autoIncrement: true });
      const blob = new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], { type: 'image/jpeg' });
      asked.result.createObjectStore('file', { keyPath: 'id' }).put({ ...row, id: crypto.randomUUID(), at: Date.now(), blob });
    };
    await new Promise((done, failed) => { [asked.onsuccess, asked.onerror] = [done, failed]; });
    asked.result.close();
  }, {
    person: attempt.trainee.id, base64: bytes.toString('base64'),
    row: { attempt: attempt.id, item: 'before', caption: '', name: 'loft.jpg', type: 'image/jpeg', size: bytes.length, digest: '', state: 'kept', clock: null, hold: false },
  });
  await p.page.goto(attempt.path);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('what was typed into a page that died before its queue was there goes from any page, and what was typed just now from its own', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await type(p.page, deeds, 'tr', '51.3');
  await p.settled();
  await p.page.goto('/api/openapi.json'); // a page of this origin that opens nothing
  for (const [item, value, age] of [['qv', '12.4', 120_000], ['tf', '69.8', 0]] as const) deeds.typed(item, value), await early(p, attempt, item, value, age);
  await early(p, attempt, 'tr', '50', 3_600_000); // older, by the clock, than what was sent before it
  await p.page.goto('/tasks');
  await expect.poll(async () => (await p.kept()).line.filter((l) => l.early).map((l) => l.item)).toEqual(['tf']);
  await expect.poll(async () => (await p.kept()).line.filter((l) => l.state === 'received').map((l) => l.item).sort()).toEqual(['qv', 'tr']);
  await p.page.goto(attempt.path);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('a line that was changed elsewhere meanwhile: both are shown, and the person says which it is to be', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  for (const [name, value] of [['qv', '12.4'], ['tf', '69.8']]) await type(p.page, deeds, name, value);
  await p.holds({ qv: '12.4', tf: '69.8' });
  for (const [name, value] of [['qv', '12.9'], ['tf', '61']]) await elsewhere(centre, attempt, name, value);
  // The page comes before the queue has a chance: every sending fails.
  line.troubles.push((s) => (s.method === 'POST' ? { kind: 'drop' } : undefined));
  await p.offline(false);
  await p.page.goto(attempt.path);
  for (const [name, other] of [['qv', '12.9'], ['tf', '61']]) await expect(said(p.page, name)).toContainText(`Changed elsewhere meanwhile: “${other}”`);
  await expect(text(p, 'qv')).toHaveValue('12.4');
  await expect(p.page.locator('#missing'), 'it is seen to before anything is sealed').toContainText('Flow rate');
  line.troubles.length = 0; // once neither may go any more
  await lineOf(p.page, 'qv').getByRole('button', { name: 'Send mine' }).click();
  await lineOf(p.page, 'tf').getByRole('button', { name: 'Take the other' }).click();
  deeds.typed('tf', '61');
  await expect(text(p, 'tf')).toHaveValue('61');
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
});

test('what was received from here and changed elsewhere since is said', async ({ centre, attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await type(p.page, new Deeds(), 'qv', '12.4');
  await expect(said(p.page, 'qv')).toHaveText(/received/);
  await elsewhere(centre, attempt, 'qv', '13.1');
  // A page that was drawn within ten seconds of the receipt may have been read before it.
  await p.page.evaluate(async (person) => {
    const db = await new Promise<IDBDatabase>((done) => { const r = indexedDB.open(`wm-${person}`); r.onsuccess = () => done(r.result); });
    const s = db.transaction('line', 'readwrite').objectStore('line');
    const [key] = await new Promise<IDBValidKey[]>((done) => { const r = s.getAllKeys(); r.onsuccess = () => done(r.result); });
    const row = await new Promise<any>((done) => { const r = s.get(key); r.onsuccess = () => done(r.result); });
    await new Promise((done) => { s.put({ ...row, receivedAt: row.receivedAt - 60_000 }, key).onsuccess = done; });
    db.close();
  }, attempt.trainee.id);
  await p.page.goto(attempt.path);
  await expect(text(p, 'qv')).toHaveValue('13.1');
  await expect(said(p.page, 'qv')).toHaveText('Changed elsewhere since. From here was sent: “12.4”.');
});

test('a photo can be taken away before it is sent', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await take(p.page, new Deeds(), 'before', [photo(100_000, 6)]);
  await take(p.page, deeds, 'before', [photo(100_000, 7)]);
  await p.holds({}, 2);
  p.page.on('dialog', (d) => void d.accept());
  await p.page.locator('#item-before .queue li').first().getByRole('button', { name: 'Take away' }).click();
  await expect(p.page.locator('#item-before .queue li')).toHaveCount(1);
  await p.offline(false);
  await p.settled();
  expect(await wrong(centre, attempt, line.ledger, deeds, [await p.kept()])).toEqual([]);
  expect((await centre.sheet(attempt)).stages[0].items[0].files).toHaveLength(1);
});

test('what is typed after handing over goes beside what was sealed, and is said to', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  const deeds = new Deeds();
  await p.visit(attempt.path);
  await p.offline();
  await short(p.page, deeds);
  await take(p.page, deeds, 'before', [photo(90_000, 8), photo(90_000, 9)]);
  await p.holds(Object.fromEntries(deeds.lines), 2);
  await handOver(p.page);
  await expect(p.page.locator('#sealed')).toContainText('waiting for signal');
  await type(p.page, new Deeds(), 'qv', '99');
  await text(p, 'qv').blur();
  await expect(p.page.locator('#state-qv')).toContainText('not in what you handed over');
  await p.offline(false);
  await p.settled();
  const sent = line.ledger.of('entry').filter((e) => e.item === 'qv').map((e) => e.text);
  expect(sent).toEqual(['12.4', '99']);
  const sheet = await centre.json<{ held: { line: string; text: string }[] }>(attempt.trainee, 'GET', `/api/attempts/${attempt.id}`);
  expect(sheet.held.map((h) => [h.line, h.text])).toEqual([['qv', '99']]);
  // It counts for nothing until a tutor takes it in.
  expect(await wrong(centre, attempt, line.ledger, deeds, [])).toEqual([]);
});

test('a photo that this phone cannot show is kept and sent all the same', async ({ attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  await p.visit(attempt.path);
  await p.offline();
  const heic = Buffer.concat([Buffer.from([0, 0, 0, 24]), Buffer.from('ftypheic\0\0\0\0mif1heic'), photo(50_000, 10)]);
  await p.page.locator('#item-before input[type=file]').last().setInputFiles([{ name: 'loft.heic', mimeType: 'image/heic', buffer: heic }]);
  await p.page.locator('#item-before .queue li').scrollIntoViewIfNeeded(); // out of sight none is tried
  await expect(p.page.locator('#item-before .queue')).toContainText('no preview on this phone');
  await p.kill();
  await p.open();
  await p.page.goto(attempt.path);
  await p.settled();
  expect(line.ledger.of('file')).toHaveLength(1);
});

test('on plain http the page works as it does without a script', async ({ attempt, phone, line }) => {
  const port = new URL(line.origin).port;
  const p = await phone(null, { args: ['--host-resolver-rules=MAP bay7.test 127.0.0.1'] });
  const origin = `http://bay7.test:${port}`;
  await p.context.addCookies([{ name: 'wm', value: attempt.trainee.cookie, url: origin, httpOnly: true, sameSite: 'Lax' }]);
  await p.page.goto(origin + attempt.path);
  expect(await p.page.evaluate(() => isSecureContext)).toBe(false);
  await text(p, 'qv').fill('12.4');
  await p.page.getByRole('button', { name: 'Keep what is in stage 2' }).click();
  await expect(text(p, 'qv')).toHaveValue('12.4');
  await p.page.locator('#item-before input[type=file]').last().setInputFiles([jpeg('a.jpg', photo(50_000, 11))]);
  await p.page.locator('#item-before').getByRole('button', { name: 'Add' }).click();
  await expect(p.page.locator('#files-before figure')).toHaveCount(1);
});

test('what is ticked while the phone reads what it keeps stays ticked', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  // Every reading is given out late, so that it is older than what was ticked since.
  await p.context.addInitScript(() => {
    Object.defineProperty(IDBTransaction.prototype, 'oncomplete', {
      set(done: (event: Event) => void) {
        this.addEventListener('complete', (event: Event) => {
          if (this.mode === 'readonly') setTimeout(() => done.call(this, event), 700);
          else done.call(this, event);
        });
      },
    });
  });
  await p.visit(attempt.path);
  await expect(p.page.locator('html')).toHaveClass(/\bwhole\b/);
  await p.page.waitForTimeout(1500);
  await type(p.page, new Deeds(), 'qv', '12.4'); // keeping it has everything read again
  const seen = await p.page.evaluate(async () => {
    await new Promise((done) => setTimeout(done, 100));
    const box = document.querySelector<HTMLInputElement>('.line[data-line="risk"] [type="checkbox"]')!;
    box.click();
    const states = new Set<boolean>();
    const until = performance.now() + 2500;
    while (performance.now() < until) {
      await new Promise(requestAnimationFrame);
      states.add(box.checked);
    }
    return [...states];
  });
  expect(seen).toEqual([true]);
});
