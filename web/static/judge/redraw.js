// @ts-check
// Brings the sheet up to date with what the server draws: only parts that the server draws differently are replaced, so that
// what was unfolded stays unfolded, and what was typed is taken over.
import { ask } from '../live.js';
import { attempt } from './sheet.js';

/** @type {Map<string, string>} each part as the server drew it last, by id */
let drawn = new Map();

/** @param {Document} page */
const parts = (page) => /** @type {HTMLElement[]} */ (Array.from(page.querySelectorAll('[data-part]')));

/** @param {Document} page @returns {Map<string, string>} its parts as the server drew them; a revision alone is no difference */
export const shapes = (page) => new Map(parts(page).map((p) => [p.id, p.outerHTML.replace(/name="revision" value="\d+"/g, '')]));

/** @param {Map<string, string>} [as] how the page that is shown was drawn */
export function remember(as) { drawn = as ?? shapes(document); }

document.addEventListener('input', (event) => {
  const form = /** @type {Element} */ (event.target).closest('form');
  if (form) form.dataset.touched = 'yes';
});

/** @param {HTMLFormElement} form @returns {string} what tells it from every other form of the page */
const name = (form) => [form.getAttribute('action'), ...['criterion', 'line'].map((n) => /** @type {HTMLInputElement | null} */ (form.querySelector(`[name="${n}"]`))?.value)].join(' ');

/** @param {HTMLFormElement} from @param {HTMLFormElement} to */
function takeOver(from, to) {
  for (const was of /** @type {Iterable<HTMLInputElement>} */ (from.elements)) {
    if (!was.name || was.type === 'hidden') continue;
    const choice = was.type === 'radio' || was.type === 'checkbox';
    const now = /** @type {HTMLInputElement | undefined} */ (Array.from(to.elements).find((e) => {
      const field = /** @type {HTMLInputElement} */ (e);
      return field.name === was.name && (!choice || field.value === was.value);
    }));
    if (now && choice) now.checked = was.checked && !now.disabled;
    else if (now) now.value = was.value;
  }
  to.dataset.touched = 'yes';
  for (let fold = to.closest('details'); fold; fold = fold.parentElement?.closest('details') ?? null) fold.open = true;
}

/** @param {HTMLElement} old @param {HTMLElement} fresh */
function replace(old, fresh) {
  const focused = old.contains(document.activeElement) ? /** @type {Element} */ (document.activeElement) : null;
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (old.querySelectorAll('form[data-touched]'))) {
    const to = Array.from(fresh.querySelectorAll('form')).find((f) => name(f) === name(form));
    if (to) takeOver(form, to);
  }
  old.replaceWith(fresh);
  if (!focused) return;
  const again = /** @type {HTMLElement | null} */ ((focused.id && document.getElementById(focused.id)) || fresh.closest('.judged'));
  again?.focus({ preventScroll: true });
}

/** @param {Document} fresh this attempt as the server draws it now */
export function take(fresh) {
  const now = shapes(fresh);
  const about = fresh.getElementById('judging');
  const main = document.getElementById('main');
  const whole = fresh.getElementById('main');
  if (!about || !main || !whole) return location.reload();
  if (now.size === drawn.size && Array.from(now.keys()).every((id) => drawn.has(id))) {
    for (const part of parts(fresh)) {
      const old = drawn.get(part.id) === now.get(part.id) ? null : document.getElementById(part.id);
      if (old) replace(old, document.adoptNode(part));
    }
    attempt().replaceWith(document.adoptNode(about));
  } else {
    replace(main, document.adoptNode(whole));
  }
  drawn = now;
  for (const field of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('main input[name="revision"]'))) field.value = attempt().dataset.revision ?? '';
  document.body.dataset.drawn = fresh.body.dataset.drawn;
  document.dispatchEvent(new CustomEvent('drawn'));
}

/** @param {() => boolean} wanted asked once the page has come: whether it is still to be shown
 * @returns {Promise<boolean>} whether what is shown is what the server has */
export async function redraw(wanted) {
  const { address } = attempt().dataset;
  const fresh = await ask(address ?? '');
  if (!fresh || attempt().dataset.address !== address || !wanted()) return false;
  if (Number(fresh.getElementById('judging')?.dataset.revision) < Number(attempt().dataset.revision)) return false; // drawn before what was kept since
  take(fresh);
  return true;
}
