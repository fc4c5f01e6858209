// @ts-check
// A row of keys under the field in focus, for what a phone's keyboard hides: signs of numbers and of written working.
import { say } from './words.js';

/** @typedef {HTMLInputElement | HTMLTextAreaElement} Field */

const working = ['×', '÷', '−', '²', '√', '(', ')', 'π', 'Δ', '='];
const figure = ['−', '.', ',', '×10^'];
const reading = [...figure, '>', '<'];

const row = document.createElement('div');
row.className = 'symbols';
row.setAttribute('role', 'group');
/** @type {Field | undefined} */
let field;

/** @param {string} sign */
function press(sign) {
  if (!field) return;
  if (sign === '>' || sign === '<') { // stands before the number, once
    const bare = field.value.replace(/^\s*[<>]\s*/, '');
    field.value = field.value.trim().startsWith(sign) ? bare : sign + bare;
  } else field.setRangeText(sign, field.selectionStart ?? 0, field.selectionEnd ?? 0, 'end');
  field.dispatchEvent(new Event('input', { bubbles: true }));
}

/** @param {string} sign */
function key(sign) {
  const b = document.createElement('button');
  b.type = 'button';
  b.textContent = sign === '×10^' ? '×10ⁿ' : sign;
  b.setAttribute('aria-label', say.keys[sign] ?? sign);
  b.addEventListener('click', () => press(sign));
  return b;
}

row.addEventListener('pointerdown', (event) => event.preventDefault()); // the field keeps the focus, and its keyboard stays
row.addEventListener('mousedown', (event) => event.preventDefault());

/** @param {Element} to */
function signsFor(to) {
  if (to.matches('textarea[data-symbols]')) return working;
  const kind = /** @type {HTMLElement | null} */ (to.closest('[data-reads]'))?.dataset.reads;
  if (!kind || !to.matches('[inputmode=decimal]') || !matchMedia('(any-pointer: coarse)').matches) return undefined;
  return kind === 'reading' ? reading : figure;
}

/** @param {Element | null} at */
function focus(at) {
  if (!at) return;
  const to = /** @type {Field} */ (at);
  const signs = to === field ? undefined : signsFor(to);
  if (!signs) return; // the row stays where it is, so that nothing moves under a finger
  field = to;
  row.setAttribute('aria-label', signs === working ? say.keys.working : say.keys.number);
  row.replaceChildren(...signs.map(key));
  (to.closest('.withunit') ?? to).after(row);
}

document.addEventListener('focusin', (event) => focus(/** @type {Element} */ (event.target)));
focus(document.activeElement);
