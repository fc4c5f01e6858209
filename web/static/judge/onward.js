// @ts-check
// The attempt that comes next is asked for while this one is judged, so that it is there when somebody goes on. What is shown is
// then held against the server once more, since it may have moved on meanwhile.
import { ask } from '../live.js';
import { makeReady } from './ready.js';
import { remember, shapes } from './redraw.js';
import { later, waits } from './send.js';
import { attempt, say } from './sheet.js';

const pictures = 4; // of the next attempt, fetched ahead

/** @type {{address: string, main: HTMLElement, title: string, drawn: string, shapes: Map<string, string>} | null} */
let ahead = null;

/** Asks for the next attempt, where it is not here already; data-ahead says that it is. */
export async function prepare() {
  const address = attempt().dataset.next;
  if (ahead && ahead.address === address) attempt().dataset.ahead = '';
  if (!address || ahead?.address === address) return;
  const page = await ask(address);
  const main = page?.getElementById('main');
  if (!page || !main || !page.getElementById('judging') || attempt().dataset.next !== address) return;
  const made = { address, title: page.title, drawn: page.body.dataset.drawn ?? '', shapes: shapes(page) };
  for (const img of Array.from(main.querySelectorAll('img')).slice(0, pictures)) void fetch(img.src).catch(() => {});
  ahead = { ...made, main: document.adoptNode(main) };
  attempt().dataset.ahead = '';
}

/** @type {string} the attempt that somebody was warned of leaving */
let warned = '';

/** Whether words were typed that are not stamped; said once, so that going on again leaves them. */
function leaves() {
  const typed = Array.from(document.querySelectorAll('.judged form[data-touched] textarea')).some((t) => /** @type {HTMLTextAreaElement} */ (t).value.trim() !== '');
  if (!typed || warned === attempt().dataset.address) return true;
  warned = attempt().dataset.address ?? '';
  say('You typed words that are not sent. Go on again to leave them.');
  return false;
}

/** Goes on to the next attempt. */
export function goOn() {
  const address = attempt().dataset.next;
  if (!address) return say('Nobody else waits for you.');
  if (waits()) return say('One moment: your last decision is being kept.');
  if (!leaves()) return;
  if (ahead?.address !== address) return location.assign(address);
  const shown = ahead;
  ahead = null;
  history.pushState({}, '', address);
  document.title = shown.title;
  document.body.dataset.drawn = shown.drawn;
  document.getElementById('main')?.replaceWith(shown.main);
  remember(shown.shapes);
  scrollTo(0, 0);
  shown.main.focus({ preventScroll: true });
  makeReady();
  later();
}

document.addEventListener('drawn', () => void prepare());
addEventListener('popstate', () => location.reload());
addEventListener('beforeunload', (event) => { if (waits()) event.preventDefault(); });
document.addEventListener('click', (event) => {
  const link = /** @type {Element} */ (event.target).closest('#next-attempt');
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  goOn();
});
