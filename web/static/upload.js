// @ts-check
// Sends chosen files one at a time, shows how far each is, and offers to try again. Without this module the form sends
// them all at once.
import { newID } from './ids.js';
import { refresh, refreshLive } from './live.js';

/**
 * @typedef {object} Job
 * @property {HTMLFormElement} form
 * @property {File} file
 * @property {string} id stays the same when it is tried again
 * @property {string} caption
 * @property {number} at when it was chosen, by this device's clock
 * @property {HTMLLIElement} row
 */

/** @type {Job[]} */
const queue = [];
let busy = false;

/** @param {Job} job @param {string} words @param {string} [look] */
function say(job, words, look = '') {
  const place = /** @type {HTMLElement} */ (job.row.querySelector('.sent'));
  place.textContent = words;
  place.className = `sent ${look}`;
}

/** @param {File} file @returns {Promise<string>} SHA-256 in hex, "" where the browser does not reckon it */
async function digest(file) {
  if (!globalThis.crypto?.subtle) return '';
  const sum = await crypto.subtle.digest('SHA-256', await file.arrayBuffer());
  return Array.from(new Uint8Array(sum), (b) => b.toString(16).padStart(2, '0')).join('');
}

/**
 * @param {Job} job
 * @returns {Promise<{trouble: string, again: boolean}>} what to do, "" where it was taken; whether sending it again may help
 */
async function post(job) {
  const body = new FormData();
  body.set('id', job.id);
  body.set('item', job.form.dataset.item ?? '');
  body.set('caption', job.caption);
  body.set('at', String(job.at));
  body.set('digest', await digest(job.file));
  body.set('file', job.file, job.file.name); // last: the words come before the bytes
  return new Promise((done) => {
    const request = new XMLHttpRequest();
    request.open('POST', job.form.action);
    request.setRequestHeader('Accept', 'application/json');
    request.responseType = 'json';
    const bar = /** @type {HTMLProgressElement} */ (job.row.querySelector('progress'));
    request.upload.onprogress = (e) => { if (e.lengthComputable) { bar.max = e.total; bar.value = e.loaded; } };
    request.onload = () => done({
      trouble: request.status < 300 ? '' : request.response?.title ?? 'This was not taken. Try again.',
      again: request.status >= 500 || request.status === 401,
    });
    request.onerror = () => done({ trouble: 'No connection. It is still here: try again.', again: true });
    request.send(body);
  });
}

async function work() {
  if (busy) return;
  busy = true;
  for (let job = queue.shift(); job; job = queue.shift()) {
    say(job, 'being sent');
    const { trouble, again } = await post(job).catch(() => ({ trouble: 'The file could not be read. Choose it again.', again: false }));
    if (trouble) {
      say(job, trouble, 'bad');
      job.row.querySelector('progress')?.remove();
      if (again) offerAgain(job);
      continue;
    }
    say(job, 'received', 'good');
    const item = job.form.dataset.item ?? '';
    await refresh((id) => id === `files-${item}`);
    void refreshLive();
    job.row.remove();
  }
  busy = false;
}

/** @param {Job} job */
function offerAgain(job) {
  const again = document.createElement('button');
  again.type = 'button';
  again.textContent = 'Try again';
  again.addEventListener('click', () => {
    again.remove();
    job.row.insertBefore(document.createElement('progress'), job.row.querySelector('.sent'));
    queue.push(job);
    void work();
  });
  job.row.append(again);
}

/** @param {HTMLFormElement} form @param {File} file */
function enqueue(form, file) {
  const row = document.createElement('li');
  const name = document.createElement('span');
  const sent = document.createElement('span');
  name.textContent = file.name;
  sent.className = 'sent';
  row.append(name, document.createElement('progress'), sent);
  form.querySelector('.queue')?.append(row);
  const caption = /** @type {HTMLInputElement | null} */ (form.querySelector('[name=caption]'));
  queue.push({ form, file, id: newID(), caption: caption?.value ?? '', at: Date.now(), row });
}

for (const found of document.querySelectorAll('form.upload')) {
  const form = /** @type {HTMLFormElement} */ (found);
  form.addEventListener('change', (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    if (input.type !== 'file') return;
    for (const file of input.files ?? []) enqueue(form, file);
    input.value = '';
    void work();
  });
}

// A file that waits to be tried again is lost with the page as well.
window.addEventListener('beforeunload', (event) => { if (document.querySelector('.queue li button') || busy) event.preventDefault(); });
