// @ts-check
// Signing out: what has not been received stays on this phone under its person's name, and only with their leave; what has
// been goes.
import { open } from './early.js';
import { say } from './words.js';

const person = document.documentElement.dataset.person ?? '';

/** @returns {Promise<[number, number, number]>} lines, files and other messages that the server does not have */
async function unsent() {
  const db = await open(person);
  const all = (/** @type {string} */ name) => new Promise((/** @type {(rows: any[]) => void} */ done, fail) => {
    const asked = db.transaction(name).objectStore(name).getAll();
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  const [lines, files, jobs] = await Promise.all(['line', 'file', 'job'].map(all));
  db.close();
  const kept = (/** @type {any[]} */ rows) => rows.filter((r) => r.state !== 'received').length;
  return [kept(lines), kept(files), jobs.filter((j) => j.kind === 'call').length];
}

/** @returns {Promise<unknown>} when nothing of the person is left in the storage, or something holds on to it */
const forget = () => new Promise((done) => {
  const asked = indexedDB.deleteDatabase(`wm-${person}`);
  asked.onsuccess = asked.onerror = done;
  setTimeout(done, 2000);
});

/** @param {[number, number, number]} left @returns {Promise<boolean>} whether they sign out all the same */
function sure(left) {
  const dialog = document.createElement('dialog');
  dialog.setAttribute('aria-labelledby', 'leave-title');
  const title = document.createElement('h2');
  title.id = 'leave-title';
  title.textContent = say.leave.title;
  const words = document.createElement('p');
  words.textContent = say.leave.waiting(...left, document.querySelector('.me')?.textContent ?? '');
  const form = document.createElement('form');
  form.method = 'dialog';
  form.className = 'actions';
  for (const answer of /** @type {const} */ (['stay', 'go'])) {
    const button = document.createElement('button');
    button.value = answer;
    button.textContent = say.leave[answer];
    if (answer === 'stay') button.className = 'main';
    form.append(button);
  }
  dialog.append(title, words, form);
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((done) => dialog.addEventListener('close', () => {
    dialog.remove();
    done(dialog.returnValue === 'go');
  }));
}

/** @param {HTMLFormElement} form to sign out with */
export async function leave(form) {
  await new Promise((done) => setTimeout(done, 400)); // what was typed a moment ago is kept by then
  const left = await unsent().catch(() => null); // not to be read: it stays as it is
  if (left?.some(Boolean)) {
    if (!(await sure(left))) return;
  } else if (left) await forget();
  form.submit();
}
