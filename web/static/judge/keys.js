// @ts-check
// Marking by keyboard. A single key acts only where nobody types, and all of them can be switched off (WCAG 2.2, 2.1.4).
import { details, finish, judgeLine, look, met, notYet, putInNumber, question, undo } from './decide.js';
import { goOn } from './onward.js';
import { goTo, here, move, moveOpen, say } from './sheet.js';

const help = () => /** @type {HTMLDialogElement | null} */ (document.getElementById('keys'));
const off = `wm-keys-off ${document.documentElement.dataset.person}`;

/** @type {Record<string, () => void>} JudgePage.Keys lists the same for people */
const acts = {
  n: () => move(1), b: () => move(-1), c: moveOpen, m: met, x: notYet, q: question, a: judgeLine, d: details, z: look, u: undo, f: finish, g: goOn,
  '?': () => help()?.showModal(),
};
for (let n = 1; n <= 9; n++) acts[n] = () => putInNumber(n);
const repeats = 'nb';

/** @param {EventTarget | null} target @returns {boolean} whether keys are typed there */
function types(target) {
  const field = /** @type {HTMLElement} */ (target);
  return field.isContentEditable || field.matches('textarea, select, input:not([type="radio"], [type="checkbox"])');
}

document.addEventListener('keydown', (event) => {
  if (document.querySelector('dialog[open]') || event.isComposing) return;
  const typing = types(event.target);
  if (event.key === 'Enter' && (event.ctrlKey || event.metaKey)) {
    const form = /** @type {Element} */ (event.target).closest('form') ?? here()?.closest('.judged')?.querySelector('form.decide');
    if (!form?.closest('main')) return;
    event.preventDefault();
    /** @type {HTMLFormElement} */ (form).requestSubmit();
    return;
  }
  if (event.key === 'Escape' && typing) {
    const to = here();
    if (to) goTo(to);
    return;
  }
  if (typing || event.ctrlKey || event.metaKey || event.altKey || localStorage.getItem(off)) return;
  const act = acts[event.key];
  if (!act || (event.repeat && !repeats.includes(event.key))) return;
  event.preventDefault();
  act();
});

document.addEventListener('change', (event) => {
  const box = /** @type {HTMLInputElement} */ (event.target);
  if (box.id !== 'keys-on') return;
  if (box.checked) localStorage.removeItem(off);
  else localStorage.setItem(off, 'yes');
  say(box.checked ? 'Single keys work again.' : 'Single keys are off. The button Keys brings them back.');
});
document.addEventListener('click', (event) => {
  if (!(/** @type {Element} */ (event.target).closest('#show-keys'))) return;
  const box = /** @type {HTMLInputElement | null} */ (document.getElementById('keys-on'));
  if (box) box.checked = !localStorage.getItem(off);
  help()?.showModal();
});
