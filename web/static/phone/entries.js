// @ts-check
// Keeps every line as it is typed, fills the page with what is kept, and says beside each line where it stands.
import { newID } from '../ids.js';
import { ready as heard, stamp } from './clock.js';
import { takeOver } from './early.js';
import { adopted, merge, typed, values, words } from './rules.js';
import { all, change, tx } from './store.js';
import { able, adopt as take, onChange, retry, tell, wake } from './queue.js';
import { say } from './words.js';
import { attempt, button, put, sheet } from './sheet.js';

/** @typedef {import('./store.js').Line} Line */

/** @type {Map<HTMLElement, number>} lines that are not kept as they stand, with what will keep them */
const busy = new Map();
/** @type {Set<HTMLElement>} lines to be sent as soon as the person goes on to another */
const touched = new Set();
let edits = 0;
/** @type {WeakMap<HTMLElement, number>} by line which of all edits was its last */
const edited = new WeakMap();
/** @type {Map<string, string>} what the server drew, by line */
let page = new Map();
let drawn = Number(document.body.dataset.drawn);
let ready = false;

/** @param {ParentNode} root @returns {HTMLElement[]} */
const linesOf = (root) => Array.from(root.querySelectorAll('.sheet .line[data-line]'));
/** @param {HTMLElement} line */
const nameOf = (line) => line.dataset.line ?? '';
/** @param {HTMLElement} line */
const keyOf = (line) => `${attempt} ${nameOf(line)}`;

/** @typedef {HTMLInputElement & HTMLSelectElement} Field */
/** @param {HTMLElement} line @returns {[string, Field][]} the fields of a line, each with the part of the row that it is */
const fields = (line) => Array.from(line.querySelectorAll('[name]'), (e) => [/** @type {Field} */ (e).name.split(':')[0], /** @type {Field} */ (e)]);
/** @param {Field} e */
const isTick = (e) => /^(radio|checkbox)$/.test(e.type);

/**
 * @param {HTMLElement} line
 * @param {boolean} [asDrawn] as the server drew it, whatever was typed since
 */
function read(line, asDrawn) {
  const { item = '', part = '', phase = '' } = line.dataset;
  /** @type {any} */
  const row = { attempt, line: nameOf(line), item, part, phase, text: '', unit: '', working: '', note: '' };
  for (const [name, e] of fields(line)) {
    if (name === 'id' || name === 'was' || (isTick(e) && !(asDrawn ? e.defaultChecked : e.checked))) continue;
    if (!asDrawn || isTick(e)) row[name] = e.value;
    else row[name] = e.options ? (Array.from(e.options).find((o) => o.defaultSelected) ?? e.options[0])?.value ?? '' : e.defaultValue;
  }
  return row;
}

/** @param {HTMLElement} line @param {string} to values */
function fill(line, to) {
  if (values(read(line)) === to) return;
  const [text, unit, working] = JSON.parse(to);
  const all = /** @type {Record<string, string>} */ ({ text, unit, working });
  for (const [name, e] of fields(line)) {
    if (!(name in all)) continue;
    if (isTick(e)) e.checked = e.value === all[name];
    else e.value = all[name];
  }
  line.dispatchEvent(new Event('filled', { bubbles: true }));
}

/** @param {HTMLElement} line what the server drew in it */
const drawnIn = (line) => page.get(nameOf(line)) ?? '["","",""]';

/** @param {Line} a @param {Line} b */
const same = (a, b) => values(a) === values(b) && a.note === b.note && a.instrument === b.instrument;

/** @param {HTMLElement} line @param {number} wait before it is sent, ms */
async function keep(line, wait) {
  const now = { ...read(line), ...stamp() };
  const key = keyOf(line);
  try {
    await tx('line', 'readwrite', (store) => {
      const s = store('line');
      const asked = s.get(key);
      asked.onsuccess = () => {
        /** @type {Line | undefined} */
        const row = asked.result?.early ? adopted(asked.result, drawnIn(line), newID) : asked.result;
        const had = asked.result?.early ? asked.result.before : row;
        if (row && same(row, now) && (row.state === 'kept' ? !row.other : merge(row, drawnIn(line), drawn).show === 'row')) {
          if (row.notBefore && !wait) s.put({ ...row, notBefore: 0 }, key);
          return;
        }
        if (had?.sealed && had.state === 'kept') s.put({ ...had, copy: true }, `${key} sealed`);
        const next = typed(row, now, drawnIn(line), newID);
        if (next) s.put({ ...next, notBefore: now.at + wait }, key);
        else s.delete(key);
      };
    });
    document.dispatchEvent(new Event('kept'));
    tell();
    wake(wait);
  } catch (trouble) {
    put(line.querySelector('.sent'), 'bad', /** @type {Error} */ (trouble)?.name === 'QuotaExceededError' ? say.keep.noRoom : say.keep.notKept);
  }
}

const debounce = 300; // ms
const quiet = 1500; // ms without a key before a line is sent

/** @param {HTMLElement} line @param {number} [wait] */
async function flush(line, wait = 0) {
  clearTimeout(busy.get(line));
  busy.set(line, 0);
  await keep(line, wait);
  if (busy.get(line) === 0) busy.delete(line); // else it was typed on
}

/** @returns {Promise<unknown>} when all that was typed is kept */
export const flushAll = () => Promise.all(Array.from(busy.keys(), (line) => flush(line)));

/** @param {Event} event */
function input(event) {
  const line = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest('.sheet .line[data-line]'));
  if (!line) return;
  if (event.type !== 'focusout') edited.set(line, ++edits);
  if (event.type === 'focusout') {
    if (!line.contains(/** @type {Node | null} */ (/** @type {FocusEvent} */ (event).relatedTarget)) && touched.delete(line)) void flush(line);
  } else if (event.type === 'change') void flush(line, quiet);
  else {
    touched.add(line);
    if (!busy.has(line)) void keep(line, quiet);
    clearTimeout(busy.get(line));
    busy.set(line, window.setTimeout(() => void flush(line, quiet), debounce));
  }
}

/** @param {HTMLElement} line @param {boolean} mine */
async function settle(line, mine) {
  await change('line', keyOf(line), (/** @type {Line | undefined} */ row) => {
    if (!row?.other) return undefined;
    const known = [...(row.known ?? []), row.other];
    if (mine) return { ...row, clock: null, other: undefined, known, notBefore: 0 }; // by the clocks the other one might count
    fill(line, row.other);
    if (row.other === drawnIn(line) && !row.sealed) return null;
    return { ...typed(row, { ...read(line), ...stamp() }, drawnIn(line), newID), known, other: undefined, notBefore: 0 };
  });
  tell();
  wake();
}

/** @param {HTMLElement} line @param {Line | undefined} row */
async function show(line, row) {
  const mine = drawnIn(line);
  const { show, other } = merge(row, mine, drawn);
  if (!busy.has(line)) fill(line, row && show === 'row' ? values(row) : mine);
  const place = line.querySelector('.sent');
  if (!row) put(place, '', '');
  else if (row.state === 'received') put(place, other ? 'bad' : 'good', other ? say.keep.replaced(words(other)) : say.keep.received(row.receivedAt ?? 0));
  else if (other) {
    if (row.other !== other) await change('line', keyOf(line), (now) => now && { ...now, other });
    put(place, 'bad', say.keep.elsewhere(words(other)), button(say.keep.mine, () => settle(line, true)), button(say.keep.theirs, () => settle(line, false)));
  } else if (row.trouble) put(place, 'bad', row.trouble, button(say.keep.tryAgain, () => retry('line', keyOf(line))));
  else put(place, '', say.keep.kept);
}

/** @param {any[]} [kept] the lines of this person, where they have just been read */
async function showAll(kept) {
  if (!ready) return;
  const since = kept ? 0 : edits;
  const rows = new Map((kept ?? (await all('line'))).filter((r) => r.attempt === attempt && !r.copy && !r.early).map((r) => [r.line, r]));
  for (const line of linesOf(document)) {
    if ((edited.get(line) ?? 0) <= since) await show(line, rows.get(nameOf(line))); // else its row is older than what stands there
  }
  document.dispatchEvent(new Event('shown'));
}

/** @param {ParentNode} root of what the server drew */
function readDrawn(root) {
  page = new Map(linesOf(root).map((line) => [nameOf(line), values(read(line, true))]));
}

/**
 * Rows of the module that was here before, from this page or one that was closed, are taken into the queue.
 * @returns {Promise<any[] | undefined>} the lines that are kept, where that changed none of them
 */
async function adopt() {
  const rows = await takeOver();
  const left = new Set(rows.filter((r) => r.attempt === attempt && r.early).map((r) => r.line));
  if (left.size) await heard();
  for (const line of linesOf(document).filter((l) => left.has(nameOf(l)))) {
    await take(keyOf(line), drawnIn(line));
  }
  return left.size ? undefined : rows;
}

if (able && sheet) {
  readDrawn(document);
  for (const name of ['input', 'change', 'focusout']) document.addEventListener(name, input);
  addEventListener('pagehide', () => void flushAll());
  document.addEventListener('visibilitychange', () => { if (document.hidden) void flushAll(); });
  document.addEventListener('drawn', (event) => {
    const fresh = /** @type {CustomEvent<Document>} */ (event).detail;
    drawn = Number(fresh.body.dataset.drawn);
    if (linesOf(fresh).length) readDrawn(fresh);
    void showAll();
  });
  document.addEventListener('submit', (event) => {
    if (!ready || !(/** @type {Element} */ (event.target).matches('.keepform'))) return;
    event.preventDefault(); // every line is kept as it is left
    void flushAll();
  });
  for (const hint of document.querySelectorAll('.autosave')) /** @type {HTMLElement} */ (hint).hidden = false;
  adopt().then((rows) => {
    ready = true;
    onChange(({ moved }) => {
      if (!moved) void showAll(rows);
      rows = undefined;
    });
  }, () => document.documentElement.classList.remove('js')); // nothing can be kept: the stages' own buttons are there
}
