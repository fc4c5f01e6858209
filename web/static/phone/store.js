// @ts-check
// What this phone keeps for the person whose page this is: lines, files, calls that wait, and what it knows of itself.
import { first, open as layOut } from './early.js';

/**
 * What waits, and what was said of it.
 * @typedef {object} Waiting
 * @property {string} attempt
 * @property {string} item
 * @property {number} at when it was captured, by this phone, ms
 * @property {number | null} [clock] by how much the server's clock was believed to be ahead then, ms
 * @property {number} [notBefore] not to be sent before, by this phone, ms
 * @property {number} [tries] refused by the server's own trouble so often
 * @property {string} [trouble] why it was not taken; it waits for the person then
 */
/**
 * @typedef {Waiting & {line: string, id: string, part: string, phase: string, text: string, unit: string, working: string,
 *   note: string, instrument?: string, state: 'kept' | 'received', receivedAt?: number, known?: string[], knownAt?: number,
 *   tried?: boolean, sealed?: boolean, alone?: boolean, other?: string, early?: boolean, before?: Line, copy?: boolean}} Line
 *   known: what the centre may have without anybody else's doing, from `values`, and as of when; tried: may have been received
 *   already, sealed: is on the list that was handed over, so that what is typed next gets an id of its own; other: what
 *   stands elsewhere instead, which the person has to see first; copy: the sealed version of a line that was typed on
 */
/**
 * @typedef {Waiting & {id: string, name: string, caption: string, type: string, size: number, gone?: boolean, digest: string,
 *   covers?: unknown, hold?: boolean, sealed?: boolean, state: 'kept' | 'received', receivedAt?: number}} Kept a file; hold: not to be
 *   sent yet; gone: its bytes are not here any more, since the page shows that they were received. They stand apart, in "blob" by its
 *   id: each reading of a row would make a handle on them, which browsers are slow to give back
 */
/** @typedef {Waiting & {n: number, kind: 'call', ref?: string, address: string, body: Record<string, unknown>}} Call */

/** @returns {string} whose page this is, "" for nobody's */
export const person = () => document.documentElement.dataset.person ?? '';

/** @param {Promise<IDBDatabase>} opened @returns {Promise<IDBDatabase>} the same, to be opened again where it is lost */
function watched(opened) {
  const db = opened.then((db) => {
    db.onclose = () => { base = undefined; };
    db.addEventListener('versionchange', ({ newVersion }) => { left = newVersion === null; });
    return db;
  });
  db.catch(() => { base = undefined; });
  return db;
}

let left = false; // somebody signs out: nothing is read or written here any more, and the page goes

/** @type {Promise<IDBDatabase> | undefined} */
let base = first && watched(first);

/** @param {string} [who] @returns {Promise<IDBDatabase>} */
export const open = (who = person()) => base ??= watched(layOut(who));

/**
 * Does some work in one transaction; done when it is on the disk.
 * @template T
 * @param {string | string[]} names
 * @param {IDBTransactionMode} mode
 * @param {(store: (name: string) => IDBObjectStore, give: (out: T) => void) => void} work
 * @returns {Promise<T>} what the work gave
 */
export async function tx(names, mode, work) {
  const db = await open();
  return new Promise((done, fail) => {
    if (left) return;
    const t = db.transaction(names, mode, { durability: 'strict' });
    /** @type {any} */
    let out;
    t.oncomplete = () => done(out);
    t.onabort = () => fail(t.error);
    work((name) => t.objectStore(name), (value) => { out = value; });
  });
}

/** @param {string} name @param {IDBTransactionMode} mode @param {(s: IDBObjectStore) => IDBRequest} ask @returns {Promise<any>} */
const one = (name, mode, ask) => tx(name, mode, (store, give) => {
  const asked = ask(store(name));
  asked.onsuccess = () => give(asked.result);
});

/** @param {string} name @param {IDBValidKey} key */
export const get = (name, key) => one(name, 'readonly', (s) => s.get(key));
/** @param {string} id of a file @returns {Promise<Blob>} its bytes, which an older edition kept in its row; undefined where they are gone */
export const bytesOf = async (id) => (await get('blob', id)) ?? (await get('file', id))?.blob;
/** @param {string} name @returns {Promise<any[]>} */
export const all = (name) => one(name, 'readonly', (s) => s.getAll());
/** @param {string} name @param {IDBValidKey} key */
export const del = (name, key) => one(name, 'readwrite', (s) => s.delete(key));
/** @param {string} name @param {unknown} row @param {IDBValidKey} [key] only where the store's rows have none of their own */
export const put = (name, row, key) => one(name, 'readwrite', (s) => s.put(row, key)).then((out) => {
  if (name === 'line' || name === 'file') document.dispatchEvent(new Event('kept'));
  return out;
});

/**
 * Reads a row and writes what becomes of it, with nothing in between. The bytes of a file go with its row, or when it says so.
 * @param {string} name
 * @param {IDBValidKey} key
 * @param {(row: any) => any} become the row as it is to be; null takes it away, undefined leaves it
 * @returns {Promise<any>} what became of it
 */
export const change = (name, key, become) => tx(name === 'file' ? [name, 'blob'] : name, 'readwrite', (store, give) => {
  const s = store(name);
  const asked = s.get(key);
  asked.onsuccess = () => {
    const row = become(asked.result);
    if (name === 'file' && (row === null || row?.gone)) store('blob').delete(key);
    if (row === null) s.delete(key);
    else if (row !== undefined) s.put(row, s.keyPath ? undefined : key);
    give(row);
  };
});
