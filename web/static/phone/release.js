// @ts-check
// The trainee's side of a release on the spot: shows the evidence number, checks the digits, and keeps the claim.
import { newID } from '../ids.js';
import { refreshLive } from '../live.js';
import { stamp } from './clock.js';
import { codeOf, dayOf, digitsOf, fits, inThrees, macOf, wrongAgain } from './digits.js';
import { listed } from './sealing.js';
import { able, add } from './queue.js';
import { evidenceNumber, listDigest } from './seal.js';
import { attempt } from './sheet.js';
import { get, put } from './store.js';
import { say } from './words.js';

/** @typedef {{id?: string, at: number, state: 'waiting' | 'confirmed' | 'refused', why?: string}} Claim */

/** @param {HTMLElement} box */
const claimKey = (box) => `spot ${attempt} ${box.dataset.stage}`;

/** @param {HTMLElement} box @param {string} words @param {string} [look] */
function tell(box, words, look = '') {
  const place = /** @type {HTMLElement} */ (box.nextElementSibling);
  place.textContent = words;
  place.className = `sent ${look}`;
}

/** @param {HTMLElement} box */
async function show(box) {
  /** @type {Claim | undefined} */
  let claim = await get('meta', claimKey(box));
  if (!claim) return;
  const told = /** @type {HTMLElement | null} */ (claim.id ? document.querySelector(`[data-refused="${claim.id}"]`) : null);
  if (told && claim.state !== 'refused') { // the other phone's word came later than the answer to this one's
    claim = { ...claim, state: 'refused', why: told.dataset.why };
    await put('meta', claim, claimKey(box));
  }
  if (claim.state === 'refused') return tell(box, say.spot.refused(claim.why ?? ''), 'bad');
  tell(box, claim.state === 'confirmed' ? say.spot.confirmed(claim.at) : say.spot.claimed(claim.at), 'good');
  box.hidden = true;
}

/** What an evidence number stands for. */
async function listing() {
  const items = await listed();
  return { items, list: await listDigest(items) };
}

/** @param {HTMLElement} box @param {HTMLInputElement} input @param {Awaited<ReturnType<typeof listing>>} had what the number was shown for */
async function check(box, input, had) {
  const triesKey = `tries ${attempt} ${box.dataset.stage}`;
  const now = stamp();
  const { at, clock } = now;
  const tries = await get('meta', triesKey);
  if (tries?.until > at && tries.until - at <= 60_000) return tell(box, say.spot.wait, 'bad');
  const typed = digitsOf(input.value, 12);
  if (!typed) return tell(box, say.spot.twelve, 'bad');
  const day = dayOf(now);
  /** @type {import('./digits.js').Check[]} */
  const checks = JSON.parse(box.dataset.codes ?? '[]');
  const today = checks.find((c) => c.day === day);
  if (!today) return tell(box, say.spot.noDay, 'bad');
  const code = codeOf(typed, evidenceNumber(had.list));
  tell(box, say.keep.checking);
  if (!(await fits(code, today))) {
    const more = wrongAgain(tries, at);
    await put('meta', more, triesKey);
    return tell(box, more.until ? say.spot.wait : say.spot.wrong, 'bad');
  }
  const stage = box.dataset.stage ?? '';
  await put('meta', { wrong: 0, until: 0 }, triesKey);
  const id = newID();
  await put('meta', { id, at, state: 'waiting' }, claimKey(box));
  await add({
    attempt, ref: claimKey(box), address: `/api/attempts/${attempt}/spot-claims`,
    body: {
      id, stage, day, at: new Date(at).toISOString(), clock_offset_ms: clock ?? undefined, items: had.items,
      mac: await macOf(code, [attempt, stage, day, had.list]),
    },
  });
  await show(box);
}

for (const found of able ? document.querySelectorAll('details[data-codes]') : []) {
  const box = /** @type {HTMLDetailsElement} */ (found);
  const form = /** @type {HTMLFormElement} */ (box.querySelector('form'));
  const digits = /** @type {HTMLElement} */ (box.querySelector('.digits'));
  /** @type {Awaited<ReturnType<typeof listing>> | undefined} */
  let had;
  box.hidden = false;
  let times = 0;
  const opened = async () => { // opened again, the number before must not be read out while the next is reckoned
    const time = ++times;
    had = undefined;
    digits.textContent = '';
    if (!box.open) return;
    const now = await listing();
    if (time !== times) return;
    had = now;
    digits.textContent = inThrees(evidenceNumber(now.list));
  };
  box.addEventListener('toggle', opened);
  void opened(); // it is what brought this module
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    const input = /** @type {HTMLInputElement} */ (form.querySelector('input'));
    if (had) void check(box, input, had);
  });
  void show(box);
  document.addEventListener('answered', async (event) => {
    const { ref, answer } = /** @type {CustomEvent} */ (event).detail;
    if (ref !== claimKey(box) || !answer?.state) return;
    await put('meta', { ...(await get('meta', ref)), state: answer.state, why: answer.why }, ref);
    box.hidden = false;
    await show(box);
    void refreshLive();
  });
}
