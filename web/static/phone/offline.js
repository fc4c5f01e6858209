// @ts-check
// Has the worker installed that keeps pages, and sees to it that nobody is shown a page of somebody else; signing out.

/** @type {any} pages admit one script address that is made up at run time, and it is this */
const policy = /** @type {any} */ (globalThis).trustedTypes?.createPolicy('witnessmark', {
  createScriptURL(/** @type {string} */ address) {
    if (address !== '/sw.js') throw new TypeError(`${address} is no worker of ours`);
    return address;
  },
});

const worker = navigator.serviceWorker; // undefined on plain http
const uncontrolled = !worker?.controller;
let leaving = 0; // when this page began to go elsewhere, ms

/** Keeps what this page is, where it came before the worker, and the tasks that it lists. */
async function keepThese() {
  await worker.ready;
  if (!worker.controller) await new Promise((done) => worker.addEventListener('controllerchange', done, { once: true }));
  const addresses = Array.from(document.querySelectorAll('a[data-keep]'), (a) => a.getAttribute('href') ?? '');
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector('[data-attempt]'));
  if (uncontrolled && sheet) addresses.unshift(`/attempts/${sheet.dataset.attempt}`, '/tasks');
  if (uncontrolled && !sheet && /^\/(tasks|on-the-spot)$/.test(location.pathname)) addresses.unshift(location.pathname);
  for (const address of new Set(addresses)) { // one after the other: photos go first
    await fetch(address).then((answer) => answer.arrayBuffer()).catch(() => {}); // read to its end, else it never ends
  }
}

if (worker) {
  addEventListener('beforeunload', () => { leaving = Date.now(); });
  worker.addEventListener('message', (event) => {
    const mine = document.documentElement.dataset.person;
    if (mine && 'person' in event.data && event.data.person !== mine && Date.now() - leaving > 10_000) location.replace('/');
  });
  const start = async () => {
    await worker.register(policy?.createScriptURL('/sw.js') ?? '/sw.js').catch(() => {}); // without it the page works as it is
    if (document.documentElement.dataset.person) await keepThese();
  };
  if (document.readyState === 'complete') void start();
  else addEventListener('load', () => void start());
}

// Signing out asks first what is on this phone only.
const form = /** @type {HTMLFormElement | null} */ (document.querySelector('form[action="/sign-out"]'));
let asking = false;
form?.addEventListener('submit', (event) => {
  event.preventDefault();
  if (asking) return;
  asking = true;
  import('./leave.js').then((m) => m.leave(form), () => form.submit()).finally(() => { asking = false; });
});
