// @ts-check
// The worker that keeps pages on this phone: what a person opened with signal opens again without. Work that waits to be sent
// is not here but in IndexedDB, so a new worker loses none of it. The server puts the edition and its files before this text.

/** @type {any} */
const scope = self;
/** @type {{edition: string, files: string[]}} */
const { edition, files } = scope.witnessmark;

const patience = 3000; // ms for the network before a kept page is shown
const mostPictures = 120;
const largestPicture = 400_000; // bytes
const id = '[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}';
const page = new RegExp(`^/(tasks|on-the-spot|attempts/${id})$`);
const picture = new RegExp(`^/evidence/${id}/preview$`);

/**
 * Who uses this phone, "" for nobody, and whether the server has yet to be told that somebody signed out. It outlives the
 * worker in a cache of its own.
 * @typedef {{person: string, owed: boolean}} Who
 */

/** @type {Who | undefined} */
let known;
let turn = 0; // rises when somebody signs out: what was asked for before is not kept after

/** @returns {Promise<Who>} */
async function who() {
  const kept = known ? undefined : await (await caches.open('wm-who')).match('/who');
  known ??= kept ? await kept.json() : { person: '', owed: false };
  return /** @type {Who} */ (known);
}

/** @param {Who} next */
async function settle(next) {
  const was = await who();
  if (was.person === next.person && was.owed === next.owed) return;
  known = next;
  await (await caches.open('wm-who')).put('/who', new Response(JSON.stringify(next)));
  if (was.person === next.person) return;
  for (const client of await scope.clients.matchAll({ includeUncontrolled: true })) client.postMessage({ person: next.person });
}

const staticOf = (/** @type {string} */ e) => `wm-static-${e}`;
/** @param {string} person a person's pages, which nobody else is shown */
const pagesOf = (person) => caches.open(`wm-pages-${person}`);

/** @param {Response} answer @returns {boolean} whether it is a file of the very edition that was asked for */
const fixed = (answer) => answer.ok && (answer.headers.get('Cache-Control') ?? '').includes('immutable');

async function install() {
  const cache = await caches.open(staticOf(edition));
  await Promise.all(files.map(async (file) => {
    const answer = await fetch(file);
    if (!fixed(answer)) throw new Error(`${file} is not of edition ${edition}`); // the server is a newer one already
    await cache.put(file, answer);
  }));
  await cache.add('/no-signal');
  await scope.skipWaiting();
}

/** Throws editions away that no kept page names. */
async function tidy() {
  const named = new Set([edition]);
  const names = await caches.keys();
  for (const name of names.filter((n) => n.startsWith('wm-pages-'))) {
    for (const kept of await (await caches.open(name)).matchAll()) named.add(kept.headers.get('Witnessmark-Edition') ?? '');
  }
  await Promise.all(names.filter((n) => n.startsWith(staticOf('')) && !named.has(n.slice(staticOf('').length))).map((n) => caches.delete(n)));
}

/** @param {Request} request */
async function staticFile(request) {
  const { pathname } = new URL(request.url);
  const cache = await caches.open(staticOf(pathname.split('/')[2]));
  const kept = await cache.match(pathname);
  if (kept) return kept;
  const answer = await fetch(request);
  if (fixed(answer)) await cache.put(pathname, answer.clone()).catch(() => {});
  return answer;
}

/** @param {string} path @param {Response} answer @param {string} person */
async function keep(path, answer, person) {
  const cache = await pagesOf(person);
  if (picture.test(path)) {
    if (Number(answer.headers.get('Content-Length')) > largestPicture) return;
    const kept = (await cache.keys()).filter((k) => picture.test(new URL(k.url).pathname));
    for (const old of kept.slice(0, Math.max(0, kept.length - mostPictures + 1))) await cache.delete(old);
  }
  const before = await cache.match(path);
  await cache.put(path, answer);
  const was = before?.headers.get('Witnessmark-Edition');
  if (was && was !== answer.headers.get('Witnessmark-Edition')) await tidy();
}

/**
 * Asks the server, learns from a page whose phone this is, and keeps what may be kept, under the name that the server put
 * on it.
 * @param {any} event @returns {Promise<Response>}
 */
async function ask(event) {
  const { request } = event;
  const { pathname } = new URL(request.url);
  const then = turn;
  await paid();
  const answer = await fetch(request);
  const name = answer.headers.get('Witnessmark-Person');
  if (name === null || then !== turn) return answer;
  const person = name === 'nobody' ? '' : name;
  // A phone's first page came before its worker: then another answer says whose it is.
  if (request.mode === 'navigate' || !(await who()).person) event.waitUntil(settle({ person, owed: false }));
  if (person && answer.status === 200 && !answer.redirected && (page.test(pathname) || picture.test(pathname))) {
    event.waitUntil(keep(pathname, answer.clone(), person).catch(() => {})); // no room: what was kept before stays
  }
  return answer;
}

/** Tells the server of a signing out that it has not heard of; before that nothing else is sent. */
async function paid() {
  if (!(await who()).owed) return;
  const answer = await fetch('/sign-out', { method: 'POST', redirect: 'manual' });
  if (answer.type !== 'opaqueredirect' && !answer.ok) throw new Error('the server did not take the signing out');
  await settle({ person: '', owed: false });
}

const noSignal = async () => (await (await caches.open(staticOf(edition))).match('/no-signal')) ?? Response.error();

/** @param {string} path @returns {Promise<Response | undefined>} what is kept of it for whoever uses the phone */
async function keptOf(path) {
  const { person } = await who();
  return person ? (await pagesOf(person)).match(path) : undefined;
}

/** @param {any} event a person goes to a page: the network first, then what is kept, then the page that says why not */
async function visit(event) {
  const { pathname } = new URL(event.request.url);
  const kept = await keptOf(pathname);
  const fresh = ask(event);
  if (kept) {
    event.waitUntil(fresh.catch(() => {}));
    const late = new Promise((done) => setTimeout(() => done(kept), patience));
    return Promise.race([fresh.then((answer) => (answer.status > 500 ? kept : answer)), late]).catch(() => kept);
  }
  return fresh.catch(async () => {
    const start = pathname === '/' ? ['/tasks', '/on-the-spot'] : [];
    for (const place of start) if (await keptOf(place)) return Response.redirect(place);
    return noSignal();
  });
}

/** @param {Request} request */
async function signOut(request) {
  const { person } = await who();
  turn++;
  if (person) await caches.delete(`wm-pages-${person}`);
  await settle({ person: '', owed: true }); // first: the phone may be switched off now
  try {
    const answer = await fetch(request);
    if (answer.type === 'opaqueredirect' || answer.ok) await settle({ person: '', owed: false });
    return answer;
  } catch {
    return Response.redirect('/sign-in', 303);
  }
}

scope.addEventListener('install', (/** @type {any} */ e) => e.waitUntil(install()));
scope.addEventListener('activate', (/** @type {any} */ e) => e.waitUntil(Promise.all([scope.clients.claim(), tidy()])));
scope.addEventListener('fetch', (/** @type {any} */ event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === 'GET' && pathname.startsWith('/static/')) event.respondWith(staticFile(request));
  else if (request.method === 'POST' && pathname === '/sign-out') event.respondWith(signOut(request));
  else if (request.method === 'GET' && request.mode === 'navigate') event.respondWith(visit(event));
  else if (request.method === 'GET' && page.test(pathname)) event.respondWith(ask(event));
  else if (request.method === 'GET' && picture.test(pathname)) event.respondWith(ask(event).catch(async () => (await keptOf(pathname)) ?? Response.error()));
  else if (!known || known.owed) event.respondWith(paid().then(() => fetch(request))); // otherwise it is none of the worker's
});
