// @ts-check
// Opens what is kept and reads its lines while the page is still being laid out, and keeps what is typed from the first key on,
// before any other module is here, and each key at once: that is simpler than to wait, and soon over. The module for entries takes
// over from it. On the page that a trainee fills in it is a plain script at the head, which runs before the first field is there.

/** @param {IDBRequest} request @returns {Promise<any>} its result */
const done = (request) => new Promise((give, fail) => {
  request.onsuccess = () => give(request.result);
  request.onerror = () => fail(request.error);
});

/**
 * Opens what this phone keeps for one person, and lays it out where there is nothing yet.
 * @param {string} person
 * @returns {Promise<IDBDatabase>}
 */
export async function open(person) {
  const asked = indexedDB.open(`wm-${person}`, 2);
  asked.onupgradeneeded = ({ oldVersion }) => {
    const db = asked.result;
    db.createObjectStore('blob');
    if (oldVersion) return; // there the bytes of files were in the files' rows
    for (const name of ['line', 'meta']) db.createObjectStore(name);
    db.createObjectStore('file', { keyPath: 'id' });
    db.createObjectStore('job', { keyPath: 'n', autoIncrement: true });
  };
  const db = await done(asked);
  db.onversionchange = () => db.close(); // signing out takes it away
  return db;
}

const person = document.documentElement.dataset.person ?? '';
/** What is kept for the person whose page this is; nothing is kept for nobody. */
export const first = person ? open(person) : undefined;

/** @returns {Promise<any[]>} every line that is kept */
const lines = async () => done(/** @type {IDBDatabase} */ (await first).transaction('line').objectStore('line').getAll());
let found = lines();
found.catch(() => {}); // whoever asks for them hears of it

/** @param {Record<string, unknown>} row @param {string} key */
async function put(row, key) {
  const tx = /** @type {IDBDatabase} */ (await first).transaction('line', 'readwrite');
  const store = tx.objectStore('line');
  const was = store.get(key);
  was.onsuccess = () => {
    row.before = was.result?.early ? was.result.before : was.result;
    store.put(row, key);
  };
  await new Promise((done, fail) => {
    tx.oncomplete = done;
    tx.onabort = fail;
  });
  document.dispatchEvent(new Event('kept')); // as everybody says who keeps something
}

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
  const row = { attempt, line: name, item, part, phase, text: '', unit: '', working: '', at: Date.now(), clock: null, state: 'kept', early: true };
  for (const e of /** @type {NodeListOf<HTMLInputElement>} */ (line.querySelectorAll('[name]:not([type=radio], [type=checkbox], [name^=id]), input:checked'))) {
    row[e.name.split(':')[0]] = e.value; // was, text, unit, working and so on
  }
  const last = put(row, `${attempt} ${name}`).catch(() => {}); // the module for entries meets the same, and says so
  found = last.then(lines);
}

document.addEventListener('input', keep);

/** @returns {Promise<any[]>} every line that is kept, with all that was typed so far; from then on the caller listens */
export function takeOver() {
  document.removeEventListener('input', keep);
  return found;
}
