// @ts-check
// Keeps what is typed from the first key on, before any other module is here, and each key at once: that is simpler than to wait,
// and soon over. The module for entries takes over from it.

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

/** @type {Promise<IDBDatabase> | undefined} */
let base;
/** @type {Promise<unknown>} */
let last = Promise.resolve();

/**
 * Keeps a line as it stands, beside what was kept of it before this page: the module for entries knows which counts.
 * @param {{target: EventTarget | null}} event
 */
function keep({ target }) {
  const line = /** @type {HTMLElement | null} */ (/** @type {Element} */ (target).closest('.line[data-line]'));
  const sheet = /** @type {HTMLElement | null | undefined} */ (line?.closest('[data-attempt]'));
  if (!line || !sheet) return;
  const { line: name, item, part = '', phase = '' } = line.dataset;
  const { attempt } = sheet.dataset;
  /** @type {Record<string, unknown>} */
  const row = { attempt, line: name, item, part, phase, text: '', unit: '', working: '', note: '', at: Date.now(), clock: null, state: 'kept', early: true };
  for (const e of /** @type {NodeListOf<HTMLInputElement>} */ (line.querySelectorAll('[name]:not([type=radio], [type=checkbox], [name^=id]), input:checked'))) {
    row[e.name.split(':')[0]] = e.value; // was, text, unit, working and so on
  }
  base ??= open(document.body.dataset.person ?? '');
  last = base.then((db) => new Promise((done, fail) => {
    const tx = db.transaction('line', 'readwrite');
    const store = tx.objectStore('line');
    const asked = store.get(`${attempt} ${name}`);
    asked.onsuccess = () => {
      row.before = asked.result?.early ? asked.result.before : asked.result;
      store.put(row, `${attempt} ${name}`);
    };
    tx.oncomplete = () => done(document.dispatchEvent(new Event('kept'))); // as everybody says who keeps something
    tx.onabort = fail;
  })).catch(() => {}); // the module for entries meets the same, and says so
}

document.addEventListener('input', keep);
// What was typed before this module came. After a reload the browser itself may have filled in something older.
if (/** @type {any} */ (performance.getEntriesByType('navigation')[0])?.type === 'navigate') {
  for (const e of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('.line :is(input, textarea)'))) {
    if (e.value !== e.defaultValue || e.checked !== e.defaultChecked) keep({ target: e });
  }
}

/** @returns {Promise<unknown>} when all that was typed so far is kept; from then on the caller listens */
export function takeOver() {
  document.removeEventListener('input', keep);
  return last;
}
