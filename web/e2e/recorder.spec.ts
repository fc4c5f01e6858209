// The proof's own tools: the recorder makes the faults that it says it makes, and the oracle finds what is lost, doubled or
// untrue. What a phone would send is sent here by the test itself.
import { randomUUID } from 'node:crypto';
import { Centre, type Attempt } from './centre.js';
import { Deeds, wrong } from './oracle.js';
import { expect, photo, sha256, test } from './phone.js';
import type { Recorder } from './recorder.js';
import { OwnServer } from './server.js';

const entry = (text: string) => ({ id: randomUUID(), item: 'qv', part: '', phase: '', text, unit: '', working: '', captured_at: new Date().toISOString() });

const sending = (line: Recorder, a: Attempt, e: object) =>
  new Centre(line.port).send(a.trainee, 'POST', `/api/attempts/${a.id}/entries`, { entries: [e] });

test('an acknowledged entry is on the list and at the centre', async ({ centre, attempt, line }) => {
  const deeds = new Deeds();
  await sending(line, attempt, entry('12.1'));
  await sending(line, attempt, entry('12.2'));
  deeds.typed('qv', '12.2');
  expect(line.ledger.of('entry').map((e) => e.text)).toEqual(['12.1', '12.2']);
  expect(await wrong(centre, attempt, line.ledger, deeds)).toEqual([]);
});

test('the oracle finds what was acknowledged and never arrived', async ({ centre, attempt, line }) => {
  const lie = line.next((s) => s.path.endsWith('/entries'), { kind: 'answer', status: 204, headers: { 'witnessmark-time': String(Date.now()) } });
  await sending(line, attempt, entry('12.9'));
  expect(lie.left).toBe(0);
  expect(await wrong(centre, attempt, line.ledger)).toEqual([expect.stringContaining('lost: qv “12.9” was acknowledged')]);
});

test('the oracle finds a photo that was taken and is not there, and one that is there twice', async ({ centre, attempt, line }) => {
  const deeds = new Deeds();
  const [lost, twice] = [photo(20_000, 1), photo(20_000, 2)];
  for (const bytes of [lost, twice]) deeds.took('before', bytes);
  for (let i = 0; i < 2; i++) {
    await centre.send(attempt.trainee, 'PUT', `/api/attempts/${attempt.id}/files/${randomUUID()}?item=before&name=a.jpg`, twice, { 'Content-Type': 'image/jpeg' });
  }
  expect(await wrong(centre, attempt, line.ledger, deeds)).toEqual(['lost: a photo of before is there 0 times', 'double: a photo of before is there 2 times']);
});

test('the oracle finds a phone that calls received what nobody acknowledged', async ({ centre, attempt, line }) => {
  const kept = { line: [{ attempt: attempt.id, line: 'qv', id: randomUUID(), state: 'received' }], file: [], job: [], meta: [] };
  expect(await wrong(centre, attempt, line.ledger, new Deeds(), [kept])).toEqual(['untrue: the phone calls qv received']);
});

test('the recorder drops, mutes, repeats, cuts and flips as it says', async ({ centre, attempt, line }) => {
  const fits = (s: { path: string }) => s.path.endsWith('/entries');
  line.next(fits, { kind: 'drop' });
  await expect(sending(line, attempt, entry('1'))).rejects.toThrow();
  line.next(fits, { kind: 'mute' });
  await expect(sending(line, attempt, entry('2'))).rejects.toThrow();
  line.next(fits, { kind: 'twice' });
  const twice = entry('3');
  await sending(line, attempt, twice);
  const qv = (await centre.sheet(attempt)).stages[1].items.find((it) => it.key === 'qv')!.lines[0];
  expect([...qv.earlier, qv.entry!].map((e) => e.text)).toEqual(['2', '3']);
  expect(line.made).toBe(3);
  expect(line.ledger.of('entry').map((e) => e.id)).toEqual([twice.id]);
});

test('a server of its own is killed and answers again from the same centre', async ({ centre, attempt, line }) => {
  const own = await OwnServer.start();
  try {
    line.to(own.port);
    await sending(line, attempt, entry('5.5'));
    await own.kill();
    await expect(sending(line, attempt, entry('5.6'))).rejects.toThrow();
    await own.start();
    await sending(line, attempt, entry('5.7'));
    expect(await wrong(centre, attempt, line.ledger)).toEqual([]);
  } finally {
    await own.kill();
  }
});

test('photos of any size are what they say, each its own', () => {
  const sizes = [5376, 70_000, 71_001, 300_000, 3_000_000];
  expect(sizes.map((n) => photo(n, n).length)).toEqual(sizes);
  expect(sha256(photo(70_000, 1))).toBe(sha256(photo(70_000, 1)));
  expect(sha256(photo(70_000, 1))).not.toBe(sha256(photo(70_000, 2)));
});
