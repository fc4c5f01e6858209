// @ts-check
// What scripts add to the page on which an attempt is judged. All of it works without: each form posts by itself.
import './page.js';
import './judge/keys.js';
import { prepare } from './judge/onward.js';
import { idle, makeReady } from './judge/ready.js';
import { remember } from './judge/redraw.js';

if (document.getElementById('judging')) {
  remember();
  makeReady();
  idle(() => void prepare());
}
