// @ts-check
// Seals the list of what is handed over, on the phone. Brought when it is pressed for; the worker keeps it as well.
import { newID } from '../ids.js';
import { ready, stamp } from './clock.js';
import { flushAll } from './entries.js';
import { digests } from './files.js';
import { tell, wake } from './queue.js';
import { entryDigest } from './seal.js';
import { attempt } from './sheet.js';
import { all, tx } from './store.js';

/** @typedef {import('./seal.js').Listed} Listed */
/** @typedef {{id: string, at: number, clock: number | null, items: Listed[]}} Seal */

const sealKey = `seal ${attempt}`;

/** @returns {Promise<Listed[]>} what this phone has of the attempt and has not been refused */
export async function listed() {
  await digests();
  const fits = (/** @type {any} */ r) => r.attempt === attempt && !r.trouble && !r.early && !r.copy;
  const lines = (await all('line')).filter(fits);
  const files = (await all('file')).filter((f) => fits(f) && f.digest && !f.item.startsWith('instrument/'));
  return [
    ...(await Promise.all(lines.map(async (l) => ({ id: l.id, kind: /** @type {const} */ ('entry'), digest: await entryDigest(l) })))),
    ...files.map((f) => ({ id: f.id, kind: /** @type {const} */ ('file'), digest: f.digest })),
  ].sort((a, b) => (a.id < b.id ? -1 : 1));
}

/** Seals the list once, with the message that tells of it; a second time changes nothing. */
export async function seal() {
  await flushAll();
  await ready();
  const items = await listed();
  const ids = new Set(items.map((i) => i.id));
  const { at, clock } = stamp();
  /** @type {Seal} */
  const made = { id: newID(), at, clock, items };
  await tx(['meta', 'job', 'line', 'file'], 'readwrite', (store) => {
    const had = store('meta').get(sealKey);
    had.onsuccess = () => {
      if (had.result) return;
      store('meta').put(made, sealKey);
      store('job').add({
        attempt, item: '', kind: 'call', ref: 'hand-over', at, address: `/api/attempts/${attempt}/hand-over`,
        body: { own_work: true, seal: { id: made.id, sealed_at: new Date(at).toISOString(), clock_offset_ms: clock ?? undefined, items } },
      });
      for (const name of ['line', 'file']) {
        const rows = store(name).openCursor();
        rows.onsuccess = () => {
          if (!rows.result) return;
          const row = rows.result.value;
          if (ids.has(row.id)) rows.result.update({ ...row, sealed: true, other: undefined });
          rows.result.continue();
        };
      }
    };
  });
  tell();
  wake();
}

/** The server did not take the list: what is missing can be added, and handed over again. */
export async function unseal() {
  await tx(['meta', 'job', 'line', 'file'], 'readwrite', (store) => {
    store('meta').delete(sealKey);
    for (const name of ['job', 'line', 'file']) {
      const rows = store(name).openCursor();
      rows.onsuccess = () => {
        if (!rows.result) return;
        const row = rows.result.value;
        if (row.attempt === attempt) {
          if (row.ref === 'hand-over' || row.copy) rows.result.delete();
          else if (row.sealed) rows.result.update({ ...row, sealed: false });
        }
        rows.result.continue();
      };
    }
  });
  tell();
}
