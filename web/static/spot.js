// @ts-check
// The releaser's side of a release on the spot: keeps that it was given, and shows the digits for the trainee's phone.
import { newID } from './ids.js';
import { ready, stamp } from './phone/clock.js';
import { dayOf, digitsOf, inThrees, shown } from './phone/digits.js';
import { able, add } from './phone/queue.js';
import { get, put } from './phone/store.js';
import { say } from './phone/words.js';

/** @typedef {{at: number, day: string, digits: string, state: 'waiting' | 'confirmed' | 'refused', why?: string}} Given */

/** @param {HTMLElement} bar */
const keyOf = (bar) => `given ${bar.dataset.for} ${bar.dataset.stage}`;

/** @param {HTMLElement} bar @param {string} words @param {string} [look] */
function tell(bar, words, look = '') {
  const place = /** @type {HTMLElement} */ (bar.querySelector('.given'));
  place.textContent = words;
  place.className = `given sent ${look}`;
}

/** @param {HTMLElement} bar */
async function show(bar) {
  /** @type {Given | undefined} */
  const given = await get('meta', keyOf(bar));
  if (!given) return;
  await ready();
  const place = /** @type {HTMLElement} */ (bar.querySelector('.digits'));
  place.textContent = given.state === 'waiting' && given.day === dayOf(stamp()) ? inThrees(given.digits) : '';
  if (given.state === 'refused') tell(bar, say.spot.refused(given.why ?? ''), 'bad');
  else tell(bar, given.state === 'confirmed' ? say.spot.confirmed(given.at) : say.spot.given(given.at), 'good');
}

/** @param {HTMLElement} bar @param {HTMLFormElement} form */
async function release(bar, form) {
  const data = new FormData(form);
  const number = digitsOf(String(data.get('number')), 6);
  if (!number) return tell(bar, say.spot.six, 'bad');
  const now = stamp();
  const { at, clock } = now;
  const day = dayOf(now);
  /** @type {{day: string, code: string}[]} */
  const codes = JSON.parse(bar.dataset.codes ?? '[]');
  const code = codes.find((c) => c.day === day)?.code;
  if (!code) return tell(bar, say.spot.noDay, 'bad');
  const { for: attempt = '', stage = '' } = bar.dataset;
  await put('meta', { at, day, digits: shown(code, number), state: 'waiting' }, keyOf(bar));
  await add({
    attempt, ref: keyOf(bar), address: `/api/attempts/${attempt}/spot-releases`,
    body: {
      id: newID(), stage, day, evidence_number: number, words: String(data.get('words') ?? ''),
      released_at: new Date(at).toISOString(), clock_offset_ms: clock ?? undefined,
    },
  });
  await show(bar);
}

for (const found of able ? document.querySelectorAll('.spot[data-codes]') : []) {
  const bar = /** @type {HTMLElement} */ (found);
  const form = /** @type {HTMLFormElement} */ (bar.querySelector('form'));
  form.hidden = false;
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    void release(bar, form);
  });
  void show(bar);
  document.addEventListener('answered', async (event) => {
    const { ref, answer } = /** @type {CustomEvent} */ (event).detail;
    if (ref !== keyOf(bar) || !answer?.state) return;
    await put('meta', { ...(await get('meta', ref)), state: answer.state, why: answer.why }, ref);
    await show(bar);
  });
}
