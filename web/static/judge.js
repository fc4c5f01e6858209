// @ts-check
// What scripts add to the page on which an attempt is judged. All of it works without: each form posts by itself.
import './page.js';
import './judge/keys.js';
import { prepare } from './judge/onward.js';
import { remember } from './judge/redraw.js';

const idle = globalThis.requestIdleCallback ?? ((/** @type {() => void} */ f) => setTimeout(f, 100));
if (document.getElementById('judging')) {
  remember();
  idle(() => void prepare());
}
