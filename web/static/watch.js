// @ts-check
// Keeps a page that shows work under way up to date: the server tells that something changed, and each part marked data-live that is
// drawn differently now is put in place of the one shown, unless somebody is at work in it.
import { ask } from './live.js';

/** What each part was last drawn as, by id: what a script or a finger changed since does not count. @type {Map<string, string>} */
const drawn = new Map();
/** Parts in which something was typed or chosen, or that say what is to be mended in it; they stay as they are. @type {Set<string>} */
const touched = new Set();

/** @param {ParentNode} where @returns {HTMLElement[]} */
const parts = (where) => Array.from(where.querySelectorAll('[data-live][id]'));

/** @param {Element} part */
const busy = (part) => touched.has(part.id) || (part.contains(document.activeElement) && document.activeElement?.matches('input, select, textarea'));

/** @param {Element} now @param {Element} next puts one element in place of another, with the focus and what was unfolded */
function swap(now, next) {
  const held = now.contains(document.activeElement) ? document.activeElement : null;
  const place = held && (held.id ? `#${CSS.escape(held.id)}` : held.getAttribute('href') ? `[href="${CSS.escape(held.getAttribute('href') ?? '')}"]` : '');
  const open = Array.from(now.querySelectorAll('details'), (d) => d.open);
  const fresh = document.importNode(next, true);
  fresh.classList.add('justnow');
  now.replaceWith(fresh);
  fresh.querySelectorAll('details').forEach((d, i) => { d.open ||= open[i]; });
  if (place) /** @type {HTMLElement | null} */ (fresh.querySelector(place))?.focus({ preventScroll: true });
}

/** @param {HTMLElement} part @param {HTMLElement} next the rows of a list that changed one by one, where they are the same rows */
function swapRows(part, next) {
  const rows = Array.from(part.children);
  const same = next.tagName === 'TBODY' && rows.length === next.children.length && rows.every((r, i) => r.id && r.id === next.children[i].id);
  if (!same) return swap(part, next);
  rows.forEach((row, i) => {
    const html = next.children[i].outerHTML;
    if (drawn.get(row.id) !== html) swap(row, next.children[i]);
    drawn.set(row.id, html);
  });
}

/** @param {HTMLElement} place @param {string} page */
async function update(place, page) {
  const fresh = await ask(page);
  if (!fresh) return say(place, 'Not up to date: the page could not be asked for. Load it again.');
  const next = parts(fresh);
  if (next.map((p) => p.id).join() !== parts(document).map((p) => p.id).join()) { // something was added, or taken away
    if (touched.size || document.activeElement?.matches('input, select, textarea')) return say(place, 'There is more to see: load this page again.');
    return location.pathname === page ? location.reload() : location.replace(page); // a form that came back is not to be sent again
  }
  for (const part of next) {
    const html = part.outerHTML;
    const now = /** @type {HTMLElement} */ (document.getElementById(part.id));
    if (drawn.get(part.id) === html || busy(now)) continue;
    swapRows(now, part);
    drawn.set(part.id, html);
  }
  say(place, `As of ${new Date().toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' })}; changes appear by themselves.`);
}

/** @param {HTMLElement} place @param {string} words */
function say(place, words) { place.textContent = words; }

/** @param {HTMLElement} place */
function watch(place) {
  const { events = '', page = location.pathname } = place.dataset;
  for (const part of parts(document)) {
    if (part.querySelector('[role="alert"]')) touched.add(part.id);
    drawn.set(part.id, part.outerHTML);
    if (part.tagName === 'TBODY') for (const row of part.children) drawn.set(row.id, row.outerHTML);
  }
  for (const kind of ['input', 'change']) {
    document.addEventListener(kind, (e) => {
      const part = /** @type {Element} */ (e.target).closest('[data-live][id]');
      if (part) touched.add(part.id);
    });
  }
  let again = false;
  let asking = false;
  const changed = async () => {
    again = true;
    if (asking) return;
    asking = true;
    while (again) {
      again = false;
      await update(place, page);
    }
    asking = false;
  };
  const source = new EventSource(events);
  source.onmessage = () => void changed();
  source.onerror = () => say(place, 'No connection just now: what you see may be old. It is tried again by itself.');
}

/** A clock beside a form for what is watched: its seconds go with the form. @param {HTMLElement} box */
function clock(box) {
  const button = /** @type {HTMLButtonElement} */ (box.querySelector('button'));
  const shown = /** @type {HTMLOutputElement} */ (box.querySelector('output'));
  const form = /** @type {HTMLFormElement} */ (box.closest('form'));
  const seconds = /** @type {HTMLInputElement} */ (form.elements.namedItem('seconds'));
  let began = 0;
  const show = () => {
    const s = Math.round((Date.now() - began) / 1000);
    seconds.value = String(Math.max(1, s));
    shown.textContent = `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}`;
  };
  box.hidden = false;
  button.addEventListener('click', () => {
    if (began) {
      began = 0;
      button.textContent = 'Start the clock';
      return;
    }
    began = Date.now();
    button.textContent = 'Stop the clock';
    show();
    const every = setInterval(() => (began ? show() : clearInterval(every)), 1000);
  });
  form.addEventListener('submit', () => { if (began) show(); });
}

const place = document.querySelector('[data-events]');
if (place instanceof HTMLElement) watch(place);
for (const box of document.querySelectorAll('.timer')) clock(/** @type {HTMLElement} */ (box));
