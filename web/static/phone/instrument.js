// @ts-check
// Keeps which instrument is in hand on the phone, and sends it with the rest of the queue.
import { newID } from '../ids.js';
import { stamp } from './clock.js';
import { able, add, onChange, retry } from './queue.js';
import { attempt, button, put as state, sheet } from './sheet.js';
import { all, change, get, put } from './store.js';
import { say } from './words.js';

/** @typedef {{id: string, kind: string, serial: string, due: string, until?: number}} Hand until: received then, by the server's clock, ms */

const name = `hands ${attempt}`;

/** @param {ParentNode} root @param {string} kind @returns {HTMLElement[]} what belongs to a kind */
const ofKind = (root, kind) => Array.from(/** @type {NodeListOf<HTMLElement>} */ (root.querySelectorAll('[data-kind]'))).filter((e) => e.dataset.kind === kind);

/** @param {Hand} hand */
function show(hand) {
  for (const e of ofKind(document, hand.kind)) {
    if (e instanceof HTMLInputElement) {
      e.value = hand.id; // goes with what is typed next
      continue;
    }
    const field = (/** @type {string} */ s) => /** @type {HTMLElement & HTMLInputElement} */ (e.querySelector(s));
    field('.which').textContent = say.inHand(hand.serial, hand.due);
    field('.outofdate').hidden = !hand.due || hand.due >= new Date().toLocaleDateString('sv', { timeZone: 'Europe/London' });
    field('.choosehand [name=id]').value = newID();
    field('.photosof').hidden = false;
    field('.upload').dataset.item = field('.upload [name=item]').value = `instrument/${hand.id}`;
  }
}

/** @param {Event} event */
async function choose(event) {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.matches('.choosehand')) return;
  event.preventDefault();
  const typed = new FormData(form);
  const [id, kind, serial, due] = ['id', 'kind', 'serial', 'due'].map((n) => String(typed.get(n)).trim());
  if (!serial) return;
  const { at, clock } = stamp();
  const hand = { id, kind, serial, due };
  await put('meta', { ...(await get('meta', name)), [kind]: hand }, name);
  await add({
    attempt, item: `instrument/${id}`, address: `/api/attempts/${attempt}/instruments`,
    body: { id, kind, serial, due: due || undefined, captured_at: new Date(at).toISOString(), clock_offset_ms: clock ?? undefined },
  });
  show(hand);
  /** @type {HTMLDetailsElement} */ (form.closest('details')).open = false;
}

if (able && sheet?.querySelector('.choosehand')) {
  document.addEventListener('submit', (event) => void choose(event));
  document.addEventListener('answered', (event) => {
    const { item } = /** @type {CustomEvent<import('./store.js').Call>} */ (event).detail;
    void change('meta', name, (kept) => {
      for (const hand of Object.values(kept ?? {})) if (item === `instrument/${hand.id}`) hand.until = Date.now() + (stamp().clock ?? 0);
      return kept;
    });
  });
  onChange(async () => {
    /** @type {import('./store.js').Call[]} */
    const waiting = await all('job');
    for (const block of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('.hand'))) {
      const job = waiting.find((j) => j.attempt === attempt && j.body.kind === block.dataset.kind && j.item === `instrument/${j.body.id}`);
      const more = job?.trouble ? [button(say.keep.tryAgain, () => retry('job', job.n))] : [];
      state(block.querySelector('.sent'), job?.trouble ? 'bad' : '', job ? job.trouble ?? say.keep.kept : '', ...more);
    }
  });
  void get('meta', name).then((/** @type {Record<string, Hand> | undefined} */ kept) => {
    for (const hand of Object.values(kept ?? {})) if (!hand.until || hand.until > Number(document.body.dataset.drawn)) show(hand);
  });
}
