// @ts-check
// What a script adds to pages that work without one. Each module looks for its own place and does nothing elsewhere.
import './phone/offline.js';
import './phone/leave.js';
import './reload.js';
import './filter.js';
import './symbols.js';
import './zoom.js';

document.documentElement.classList.add('js');

for (const input of document.querySelectorAll('input[data-copy]')) {
  input.addEventListener('focus', () => /** @type {HTMLInputElement} */ (input).select());
}
