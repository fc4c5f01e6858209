// @ts-check
// Draws in idle moments what is out of sight or folded away, so that the key that shows it has only to move it into sight. An item
// begins as one that the browser leaves out until it comes near (judge.css); what is folded away is laid out by being asked where it
// stands, and kept until it changes. Each is one step, so that a key never waits for more than one of them.

const steps = '.judged .item, .judged .settled > :not(summary), .judged .explained';
const rest = 40; // ms without a key until it goes on: what the last one did is to be painted first
const room = 10; // ms that must be left of an idle moment to begin with one more

/** @param {(left: () => number) => void} f run in the next idle moment, of which left says how many ms there are */
export const idle = (f) => (typeof requestIdleCallback === 'function' ? requestIdleCallback((moment) => f(() => moment.timeRemaining())) : setTimeout(() => f(() => 0), 50));

/** @type {Element[]} */
let left = [];
let pressed = 0; // when a key was

/** @param {Element} step */
function draw(step) {
  if (step.classList.contains('item')) step.classList.add('drawn');
  step.getBoundingClientRect();
}

/** @param {() => number} time */
function some(time) {
  const wait = pressed + rest - performance.now();
  if (wait > 0) return void setTimeout(() => idle(some), wait);
  do {
    const step = left.shift();
    if (step) draw(step);
  } while (left.length > 0 && time() > room);
  if (left.length > 0) idle(some);
}

/** Begins afresh with the sheet as it is now, from its top. */
export function makeReady() {
  const begun = left.length > 0;
  left = Array.from(document.querySelectorAll(steps));
  if (!begun && left.length > 0) idle(some);
}

document.addEventListener('drawn', makeReady);
document.addEventListener('keydown', (event) => { pressed = event.timeStamp; }, { capture: true });
