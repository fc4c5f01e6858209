// @ts-check
// What a script adds to pages that work without one. Each module looks for its own place and does nothing elsewhere.
import './phone/offline.js';
import './phone/coverform.js';
import './reload.js';
import './filter.js';
import './phone/field.js';
import './zoom.js';
import './watch.js';

document.documentElement.classList.add('js');
// What waits on this phone goes from every page.
if (document.documentElement.dataset.person) void import('./phone/queue.js').then((queue) => queue.start()).catch(() => {});

for (const input of document.querySelectorAll('input[data-copy]')) {
  input.addEventListener('focus', () => /** @type {HTMLInputElement} */ (input).select());
}
