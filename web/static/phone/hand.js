// @ts-check
// Handing over: the list is sealed here, signal or not. Also says how far the sheet is, from the page and from what is kept.
import { refreshLive } from '../live.js';
import { able, onChange, pending, start } from './queue.js';
import { done } from './rules.js';
import { attempt, button, put, sheet } from './sheet.js';
import { all, get } from './store.js';
import { say } from './words.js';

/** @param {HTMLElement} article @param {any[]} files that are kept */
function isDone(article, files) {
  const item = article.dataset.key;
  const there = new Set(files.filter((f) => f.item === item && !f.trouble).map((f) => f.id));
  for (const a of article.querySelectorAll('.received a[href^="/evidence/"]')) there.add(a.getAttribute('href')?.split('/')[2]);
  const lines = Array.from(article.querySelectorAll('.line[data-line]'), (line) => {
    const of = /** @type {HTMLInputElement[]} */ (Array.from(line.querySelectorAll('[name^="text:"]')));
    return of.find((e) => e.checked || !/^(radio|checkbox)$/.test(e.type))?.value ?? '';
  });
  return done({ files: Number(article.dataset.files ?? 0), have: there.size, lines });
}

/** @param {string} id */
const byID = (id) => document.getElementById(id);
/** @param {HTMLElement} article */
const titleOf = (article) => article.querySelector('h3')?.textContent?.trim() ?? '';

/** What says the same already is not laid out again. @param {Element | null | undefined} place @param {string} words */
function write(place, words) {
  if (place && place.textContent !== words) place.textContent = words;
}

/** @returns {Promise<HTMLElement[]>} the items that have to be there and are not, after the page says so */
async function count() {
  const files = (await all('file')).filter((f) => f.attempt === attempt);
  // What was not taken, or stands elsewhere otherwise, is seen to before the list is sealed, which would leave it out or settle it.
  const stuck = new Set((await all('line')).filter((l) => l.attempt === attempt && l.state === 'kept' && (l.trouble || l.other)).map((l) => l.item));
  const articles = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll('article.item[data-key]')));
  const required = articles.filter((a) => a.dataset.required !== undefined);
  /** @type {HTMLElement[]} */
  const missing = [];
  for (const a of articles) {
    const seeTo = stuck.has(a.dataset.key);
    const there = isDone(a, files) && !seeTo;
    const must = a.dataset.required !== undefined || seeTo;
    if (must && !there) missing.push(a);
    const state = a.querySelector('.itemstate .state');
    const words = there ? say.hand.there : must ? say.hand.toDo : say.hand.nothing;
    if (state && state.textContent !== words) {
      state.textContent = words;
      state.className = there ? 'state good' : 'state';
    }
  }
  const n = required.filter((a) => !missing.includes(a)).length;
  const [p, a] = [byID('going')?.querySelector('p'), byID('going')?.querySelector('a')];
  write(byID('progress'), say.hand.readyOf(n, required.length));
  write(p, say.hand.shortOf(n, required.length));
  write(a, missing.length ? say.hand.next(titleOf(missing[0])) : say.hand.toHandOver);
  a?.setAttribute('href', missing.length ? `#${missing[0].id}` : '#hand-over');
  showMissing(missing);
  return missing;
}

/** @param {HTMLElement[]} missing */
function showMissing(missing) {
  const place = byID('missing');
  const words = missing.map((a) => a.id).join(' ');
  if (!place || place.dataset.of === words) return;
  place.dataset.of = words;
  const head = document.createElement('p');
  head.textContent = missing.length ? say.hand.missing : say.hand.allThere;
  const ul = document.createElement('ul');
  for (const article of missing) {
    const link = document.createElement('a');
    link.href = `#${article.id}`;
    link.textContent = titleOf(article);
    ul.appendChild(document.createElement('li')).append(link);
  }
  place.replaceChildren(head, ...(missing.length ? [ul] : []));
}

const form = /** @type {HTMLFormElement | null} */ (document.querySelector('form[data-flush]'));

let awaited = false; // whether this page has seen that something of the list was to come: a kept page is not loaded again

/** What was handed over here, and how much of it has come. @returns {Promise<void>} */
async function showSeal() {
  /** @type {import('./sealing.js').Seal | undefined} */
  const made = await get('meta', `seal ${attempt}`);
  const place = byID('sealed');
  if (form) form.hidden = Boolean(made);
  byID('going')?.querySelector('a')?.toggleAttribute('hidden', Boolean(made)); // nothing is left to go to
  if (!place) return;
  place.hidden = !made;
  if (!made) return;
  const [lines, files, jobs] = await Promise.all(['line', 'file', 'job'].map(all));
  const left = new Set([...lines, ...files].filter((r) => r.state === 'kept').map((r) => r.id));
  const n = made.items.filter((i) => !left.has(i.id)).length;
  const job = jobs.find((j) => j.ref === 'hand-over' && j.attempt === attempt);
  if (job?.trouble) put(place, 'bad', job.trouble, button(say.hand.again, async () => (await import('./sealing.js')).unseal()));
  else put(place, job ? '' : 'good', (job ? say.hand.sealed : say.hand.sealedSent)(made.at, n, made.items.length));
  const open = Boolean(job) || n < made.items.length;
  if (form && awaited && !open) location.reload(); // the server's page says how it goes on
  awaited = open;
  for (const article of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('article.item[data-key]'))) {
    const of = [...lines, ...files].filter((r) => r.attempt === attempt && r.item === article.dataset.key && r.state === 'kept');
    const words = [...(of.length && of.every((r) => r.sealed) ? [say.hand.inSet] : []), ...(of.some((r) => !r.sealed) ? [say.hand.late] : [])];
    const state = article.querySelector('.itemstate');
    let tag = state?.querySelector('.set');
    if (state && !tag) state.append(' ', tag = Object.assign(document.createElement('span'), { className: 'set soft' }));
    if (tag) tag.textContent = words.join(' ');
  }
}

/** One line for everything that waits, read out when it changes. @param {import('./queue.js').State} state */
async function showState({ mode }) {
  const place = byID('kept');
  if (mode === 'checking' || mode === 'none') {
    put(place, '', mode === 'none' ? say.keep.cannotKeep : say.keep.checking);
    return;
  }
  const { entries, files, calls, troubles } = await pending();
  const n = entries + files + calls;
  const words = say.keep;
  if (!n) put(place, 'good', words.allReceived);
  else if (mode === 'signed-out') put(place, 'bad', words.signIn(n), Object.assign(document.createElement('a'), { href: '/sign-in', textContent: words.signInHere }));
  else if (troubles === n) put(place, 'bad', words.troubles(n));
  else put(place, '', (mode === 'busy' ? words.busy : mode === 'waiting' || !navigator.onLine ? words.waits : words.sends)(n));
}

/** @param {SubmitEvent} event */
async function handOver(event) {
  event.preventDefault();
  const place = /** @type {HTMLFormElement} */ (form).querySelector('.sent');
  const own = /** @type {HTMLInputElement | null} */ (form?.querySelector('[name=own_work]'));
  if (!own?.checked) put(place, 'bad', say.hand.mustOwn);
  else if ((await count()).length) put(place, 'bad', say.hand.mustHave);
  else await import('./sealing.js').then((m) => m.seal()).catch(() => put(place, 'bad', say.hand.notSealed));
}

if (able && sheet) {
  let soon = 0;
  const later = () => {
    clearTimeout(soon);
    soon = window.setTimeout(() => void count().then(showSeal), 50);
  };
  form?.addEventListener('submit', (event) => void handOver(event));
  for (const name of ['shown', 'drawn', 'input']) document.addEventListener(name, later);
  let fresh = 0;
  let last = 0; // a page that is read makes much that has to be cleared away: not one for each of twenty photos
  onChange((state) => {
    if (state.moved) return;
    void showState(state);
    later();
    if (!state.received) return;
    fresh ||= window.setTimeout(() => {
      [fresh, last] = [0, Date.now()];
      void refreshLive();
    }, Math.max(300, last + 5000 - Date.now()));
  });
  void start();
}
