// @ts-check
// The queue of one person on this phone: what is kept and not received. One page sends at a time; all show the same.
import { newID } from '../ids.js';
import { ask } from './ask.js';
import { believed, ready, stale } from './clock.js';
import { adopted, clean, values } from './rules.js';
import { sender } from './send.js';
import { bytesOf, change, del, get, person, put, tx } from './store.js';

/** @typedef {import('./rules.js').Thing & {key: IDBValidKey, row: any}} Thing */
/**
 * @typedef {{mode: import('./send.js').Mode | 'checking' | 'none', progress: Record<string, number>, received?: boolean, moved?: boolean}} State
 *   progress: percent by file id; received: something was just now, so that the server's part of the page is old; moved: nothing
 *   changed but how far a file is, so that nothing has to be read again
 */

/** Whether this page can keep and send; on plain http its forms work as they do without a script. */
export const able = globalThis.isSecureContext && Boolean(navigator.locks && globalThis.indexedDB);

/** @type {State} */
let state = { mode: 'checking', progress: {} };
/** @type {Set<(state: State) => void>} */
const listeners = new Set();
const channel = able && person() ? new BroadcastChannel(`wm-${person()}`) : undefined;

let pause = 0;
let news = false;

/** Tells at once, then at most four times a second, since each time all that is kept is read again. */
function out() {
  news = false;
  pause = window.setTimeout(() => {
    pause = 0;
    if (news) out();
  }, 250);
  for (const fn of listeners) fn(state);
}

/** @param {Partial<State>} [now] */
function show(now) {
  state = { ...state, ...now, received: (news && state.received) || now?.received, moved: (!news || state.moved) && now?.moved };
  news = true;
  if (!pause) out();
}

/** Says to every page of this person that something changed. @param {Partial<State>} [now] */
export function tell(now) {
  channel?.postMessage(now ?? {});
  show(now);
}

/** @param {(state: State) => void} fn called at once and whenever something changed, here or in another tab */
export function onChange(fn) {
  listeners.add(fn);
  fn(state);
}

/** @returns {Promise<[any[], any[], any[], IDBValidKey[]]>} lines, files and calls, and the keys of the lines */
const kept = () => tx(['line', 'file', 'job'], 'readonly', (store, give) => {
  const asked = [store('line').getAll(), store('file').getAll(), store('job').getAll(), store('line').getAllKeys()];
  asked[3].onsuccess = () => give(/** @type {any} */ (asked.map((a) => a.result)));
});

/** @returns {Promise<Thing[]>} everything that waits */
async function things() {
  const [lines, files, calls, keys] = await kept();
  return [
    ...lines.map((row, i) => ({ ...row, kind: 'line', key: keys[i], row })).filter((t) => t.state === 'kept' && !t.early),
    ...files.map((row) => ({ ...row, kind: 'file', key: row.id, row })).filter((t) => t.state === 'kept' && t.digest),
    ...calls.map((row) => ({ ...row, key: row.n, row })),
  ];
}

/**
 * Takes a line into the queue that was kept before the queue was there.
 * @param {IDBValidKey} key
 * @param {string} [page] what the page shows in it, where that is at hand
 */
export async function adopt(key, page) {
  const row = await get('line', key);
  if (!row?.early) return;
  if (row.before?.sealed && row.before.state === 'kept') await put('line', { ...row.before, copy: true }, `${key} sealed`);
  await change('line', key, (now) => (now?.early && now.at === row.at ? adopted(now, page, newID, believed(now.at)) : undefined));
}

const dead = 60_000; // ms without a key, after which a page that has no queue yet is taken to have died

/** Takes what was typed into pages that died before their queue was there. The page that is open sees to its own. */
async function takeOver() {
  const [lines, , , keys] = await kept();
  const left = lines.map((row, i) => ({ ...row, key: keys[i] })).filter((l) => l.early && !document.querySelector(`[data-attempt="${l.attempt}"]`));
  if (!left.length) return;
  for (const { key, at } of left) if (Math.abs(Date.now() - at) > dead) await adopt(key);
  setTimeout(() => void takeOver().catch(() => {}), dead); // what is typed just now may be left behind yet
  tell();
  wake();
}

/**
 * @returns {Promise<{entries: number, files: number, calls: number, troubles: number}>} how much is not received; troubles:
 *   how much of it waits for the person
 */
export async function pending() {
  const [lines, files, calls] = await kept();
  const [entries, photos] = [lines, files].map((rows) => rows.filter((r) => r.state === 'kept'));
  const stuck = [...entries, ...photos, ...calls].filter((r) => r.trouble || r.other || r.hold);
  return { entries: entries.length, files: photos.length, calls: calls.length, troubles: stuck.length };
}

const json = { 'Content-Type': 'application/json' };
/** @param {string} address @param {object} body */
const post = (address, body) => ask('POST', address, json, JSON.stringify({ ...body, sent_at: new Date().toISOString() }));

/** @param {Thing[]} batch */
async function sendLines(batch) {
  const sent = [];
  for (const t of batch) {
    /** @type {import('./store.js').Line} */
    const row = await change('line', t.key, (now) => {
      if (now?.id !== t.row.id || now.state !== 'kept') return undefined; // typed on meanwhile: its turn comes
      return { ...now, tried: true, known: now.known && [...new Set([...now.known, values(now)])] };
    });
    if (row) sent.push({ key: t.key, row });
  }
  if (!sent.length) return { status: 200, at: Date.now(), sent };
  const entries = sent.map(({ row }) => {
    const { item, text, ...may } = { ...clean(row), note: row.note, instrument: row.instrument };
    const there = Object.fromEntries(Object.entries(may).filter(([, v]) => v));
    return { id: row.id, item, text, ...there, captured_at: new Date(row.at).toISOString(), clock_offset_ms: row.clock ?? undefined };
  });
  return { ...(await post(`/api/attempts/${batch[0].attempt}/entries`, { entries })), sent };
}

const s = sender({
  things, tell: (mode) => tell({ mode, progress: {} }), now: Date.now, random: Math.random,
  async carry(batch, acknowledged) {
    const [t] = /** @type {Thing[]} */ (batch);
    if (t.kind === 'line') return sendLines(/** @type {Thing[]} */ (batch));
    if (t.kind === 'call') return post(t.row.address, t.row.body);
    tell({ progress: { [t.row.id]: 0 } });
    return (await import('./tus.js')).upload({ ...t.row, blob: await bytesOf(t.row.id) }, (offset) => {
      acknowledged();
      tell({ progress: { [t.row.id]: Math.floor((100 * offset) / t.row.size) }, moved: true });
    });
  },
  async received(batch, { at, sent, body }) {
    const [t] = /** @type {Thing[]} */ (batch);
    if (t.kind === 'call') {
      await del('job', t.key);
      document.dispatchEvent(new CustomEvent('answered', { detail: { ...t.row, answer: body } }));
    } else if (t.kind === 'file') {
      await change('file', t.key, (row) => row && { ...row, state: 'received', receivedAt: at });
    } else {
      for (const { key, row } of sent) {
        const as = { known: [values(row)], knownAt: at };
        await change('line', key, (now) => (!now ? undefined : now.id === row.id ? { ...now, ...as, state: 'received', receivedAt: at, tried: false } : { ...now, ...as }));
      }
    }
    tell({ received: true });
  },
  async mark(batch, how) {
    for (const t of /** @type {Thing[]} */ (batch)) {
      const name = t.kind === 'call' ? 'job' : t.kind;
      await change(name, t.key, (row) => row && { ...row, ...how });
    }
    tell();
  },
});

let timer = 0;
let busy = false;
let more = false;

async function run() {
  if (busy) {
    more = true;
    return;
  }
  busy = true;
  more = false;
  const ms = await navigator.locks.request(`wm-send-${person()}`, () => s.run()).catch(() => 5000);
  busy = false;
  if (more) void run();
  else if (ms < Infinity) wake(ms);
}

/** @param {number} [ms] after which to look what is to be sent */
export function wake(ms = 0) {
  if (!able || !person()) return;
  clearTimeout(timer);
  timer = window.setTimeout(() => void run(), ms);
}

/**
 * Adds a JSON POST that has to arrive once; its body holds an id made here. Its answer comes as the event "answered".
 * @param {{attempt: string, item?: string, ref?: string, address: string, body: Record<string, unknown>}} call
 */
export async function add(call) {
  await put('job', { item: '', ...call, kind: 'call', at: Date.now() });
  tell();
  wake();
}

/** @param {'line' | 'file' | 'job'} name @param {IDBValidKey} key of something that was not taken */
export async function retry(name, key) {
  await change(name, key, (row) => row && { ...row, trouble: undefined, notBefore: 0 });
  tell();
  wake();
}

/** Sends from now on, on whatever page this is. */
export async function start() {
  if (!able || !person()) return;
  if (channel) channel.onmessage = (event) => show(event.data);
  const again = () => {
    s.again();
    wake();
  };
  addEventListener('online', again);
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') again(); });
  try {
    await ready();
    await takeOver();
  } catch {
    show({ mode: 'none' });
    return;
  }
  show({ mode: 'idle' });
  wake();
  if (stale()) ask('OPTIONS', '/uploads', {}).catch(() => {}); // to know the server's clock before the first capture
}
