// @ts-check
// Keeps what is typed from the first key on, before any other module is here. The module for entries takes over from it.

/**
 * Opens what this phone keeps for one person, and lays it out where there is nothing yet.
 * @param {string} person
 * @returns {Promise<IDBDatabase>}
 */
export const open = (person) => new Promise((done, fail) => {
  const asked = indexedDB.open(`wm-${person}`, 1);
  asked.onupgradeneeded = () => {
    const db = asked.result;
    for (const name of ['line', 'meta']) db.createObjectStore(name);
    db.createObjectStore('file', { keyPath: 'id' });
    db.createObjectStore('job', { keyPath: 'n', autoIncrement: true });
  };
  asked.onsuccess = () => {
    asked.result.onversionchange = () => asked.result.close(); // signing out takes it away
    done(asked.result);
  };
  asked.onerror = () => fail(asked.error);
});

/** When the first thing is kept: whoever keeps something says so by this event. */
export const first = new Promise((done) => document.addEventListener('kept', done, { once: true }));

/** @type {Map<HTMLElement, number>} lines being typed into, with their timers */
const busy = new Map();
/** @type {Promise<IDBDatabase> | undefined} */
let base;
/** @type {Promise<unknown>} */
let last = Promise.resolve();

/** @param {HTMLElement} line */
function keep(line) {
  const { attempt } = /** @type {HTMLElement} */ (line.closest('[data-attempt]')).dataset;
  const { line: name, item, part = '', phase = '' } = line.dataset;
  /** @type {Record<string, unknown>} */
  const row = { attempt, line: name, item, part, phase, text: '', unit: '', working: '', note: '', at: Date.now(), clock: null, state: 'kept' };
  for (const e of /** @type {NodeListOf<HTMLInputElement>} */ (line.querySelectorAll('[name]:not([type=radio], [type=checkbox]), input:checked'))) {
    row[e.name.split(':')[0]] = e.value; // id, was, text, unit, working
  }
  base ??= open(document.body.dataset.person ?? '');
  last = base.then((db) => new Promise((done, fail) => {
    const tx = db.transaction('line', 'readwrite');
    tx.objectStore('line').put(row, `${attempt} ${name}`);
    tx.oncomplete = () => done(document.dispatchEvent(new Event('kept')));
    tx.onabort = fail;
  })).catch(() => {}); // the module for entries meets the same, and says so
}

/** @param {Event} event */
function typed(event) {
  const line = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest('[data-attempt] .line[data-line]'));
  if (!line) return;
  if (!busy.has(line)) keep(line);
  clearTimeout(busy.get(line));
  busy.set(line, /** @type {any} */ (setTimeout(() => { busy.delete(line); keep(line); }, 300)));
}

function flush() {
  for (const [line, timer] of busy) {
    clearTimeout(timer);
    keep(line);
  }
  busy.clear();
}

document.addEventListener('input', typed);
addEventListener('pagehide', flush);
// What was typed before this module came. After a reload the browser itself may have filled in something older.
if (/** @type {any} */ (performance.getEntriesByType('navigation')[0])?.type === 'navigate') {
  for (const e of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('.line :is(input, textarea)'))) {
    if (e.value !== e.defaultValue || e.checked !== e.defaultChecked) typed(/** @type {any} */ ({ target: e }));
  }
}

/** @returns {Promise<unknown>} when all that was typed so far is kept; from then on the caller listens */
export function takeOver() {
  document.removeEventListener('input', typed);
  flush();
  return last;
}
