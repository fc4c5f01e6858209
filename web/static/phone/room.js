// @ts-check
// Asks the phone to keep what is put down, as soon as there is something to keep, and shows what it answered.
import { all } from './store.js';
import { say } from './words.js';

const low = 300; // MB, some hundred photos
const place = document.getElementById('room');

/** @param {string} words */
async function tell(words) {
  if (!place) return;
  const { quota = 0, usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  const left = Math.floor((quota - usage) / 1e6);
  place.textContent = quota && left < low ? `${words} ${say.room.left(left)}` : words;
}

const promised = async () => (await navigator.storage.persisted()) || navigator.storage.persist();

if (place && !globalThis.isSecureContext) void tell(say.room.plain);
else if (place) {
  void navigator.storage.persisted().then((already) => tell(already ? say.room.promised : say.room.before));
  const something = all('line').catch(() => []).then((lines) => lines.length || new Promise((done) => document.addEventListener('kept', done, { once: true })));
  // Asked once a visit: a browser that knows the person better may promise what it did not before.
  void something.then(promised).then((yes) => tell(yes ? say.room.promised : say.room.mayClear));
}
