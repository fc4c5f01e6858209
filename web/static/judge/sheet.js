// @ts-check
// Where on the sheet somebody is. A point is an item, or a criterion that has none of its own; whoever moves has the focus there,
// so that what is read aloud, what is outlined and what a key acts on are the same.

const point = '.judged .item, .judged:not(:has(.item)), .loose .item';

/** What the server says of the attempt that is shown: its address, its revision, what was decided last and what comes next. */
export const attempt = () => /** @type {HTMLElement} */ (document.getElementById('judging'));

/** @type {Element | null} the point that had the focus last */
let at = null;
document.addEventListener('focusin', (event) => {
  at = /** @type {Element} */ (event.target).closest(point) ?? at;
});

/** @param {string} words said to whoever looks and to whoever listens */
export function say(words) {
  const said = document.getElementById('said');
  if (said) said.textContent = words;
}

/** @param {() => void} f run once what a key did is on the screen; by the clock, since a page out of sight is never painted */
export const painted = (f) => setTimeout(f, 30);

/** @returns {HTMLElement | null} the criterion that somebody is at */
export function section() {
  const near = document.activeElement?.closest('.judged') ?? (at?.isConnected ? at.closest('.judged') : null);
  return /** @type {HTMLElement | null} */ (near);
}

/** @returns {HTMLElement | null} the point that somebody is at: in the margin the last one of its criterion */
export function here() {
  if (!at?.isConnected) return section();
  const near = section();
  return /** @type {HTMLElement} */ (near && !near.contains(at) ? near : at);
}

/** @param {HTMLElement} place */
export function goTo(place) {
  place.focus({ preventScroll: true });
  const around = place.closest('.judged');
  (around?.querySelector('.item') === place ? around : place).scrollIntoView({ block: 'start' });
}

/** @param {number} by 1 for the next point, -1 for the one before */
export function move(by) {
  const all = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll(point)));
  const from = here();
  let i = from ? all.indexOf(from) : -1;
  if (i < 0 && from) i = all.findIndex((p) => from.contains(p)) - (by > 0 ? 1 : 0);
  const to = all[i + by];
  if (to) goTo(to);
  else say(by > 0 ? 'That was the last item. f finishes.' : 'That was the first item.');
}

/** Goes to the next criterion that is open or has to be decided afresh, after the one here; after the last the first again. */
export function moveOpen() {
  const all = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll('.judged')));
  const from = section();
  const i = from ? all.indexOf(from) : -1;
  const to = [...all.slice(i + 1), ...all.slice(0, i + 1)].find((s) => !s.querySelector('.stamp:not(.open, .again)'));
  if (to) goTo(/** @type {HTMLElement | null} */ (to.querySelector('.item')) ?? to);
  else say('Every criterion is decided. f finishes.');
}
