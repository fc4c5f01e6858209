// @ts-check
// What scripts add to the page that a trainee works on, the nearest to what is typed first.
import './phone/entries.js';
import './phone/files.js';
import './phone/hand.js';
import './phone/offline.js';
import './phone/room.js';
import './phone/coverform.js';
import { able } from './phone/queue.js';
import { attempt } from './phone/sheet.js';
import { get } from './phone/store.js';

if (able) document.documentElement.classList.add('js');
addEventListener('load', () => setTimeout(() => document.documentElement.classList.add('whole'), 1000)); // from then on all is laid out
document.addEventListener('focusin', () => void import('./phone/field.js'), { once: true });
if (document.querySelector('.choosehand')) void import('./phone/instrument.js');
if (document.body.dataset.again) void import('./reload.js');
for (const box of able ? document.querySelectorAll('details[data-codes]') : []) void spot(/** @type {HTMLDetailsElement} */ (box));

/** A release on the spot comes when it is opened, or at once where one is claimed already. @param {HTMLDetailsElement} box */
async function spot(box) {
  const bring = () => import('./phone/release.js');
  if (await get('meta', `spot ${attempt} ${box.dataset.stage}`)) await bring();
  else {
    box.addEventListener('toggle', bring, { once: true });
    box.hidden = false;
  }
}

/** @param {MouseEvent} event the first photo that is looked at brings what shows it */
async function firstLook(event) {
  const link = /** @type {Element} */ (event.target).closest('a.zoom');
  if (!(link instanceof HTMLElement) || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  document.removeEventListener('click', firstLook);
  await import('./zoom.js');
  link.click();
}
document.addEventListener('click', firstLook);
