// @ts-check
// Sends what is decided, one after the other, while the sheet goes on. A stamp that is not kept yet says so; one that was not
// taken goes away again, and what the server said of it stands in its place.
import { redraw } from './redraw.js';
import { attempt, painted, say } from './sheet.js';

/**
 * @typedef {object} Job
 * @property {string} path
 * @property {URLSearchParams} body
 * @property {string} place id of what the answer belongs beside
 * @property {string} said what is said once it is kept
 * @property {string} [decides] the criterion whose stamp it changes
 * @property {HTMLFormElement} [form]
 * @property {string} [before] what was decided last before it
 */

const quiet = 800; // ms without a key until the sheet is drawn afresh: to read a whole page holds up the next key

/** @type {Job[]} */
const queue = [];
let busy = false;
let soon = 0; // a timer while the sheet is to be drawn afresh

/** Whether anything is not kept yet. */
export const waits = () => busy || queue.length > 0;

/** Puts a stamp that is not kept yet over a margin. @param {string} place @param {string} kind @param {string} word */
function pending(place, kind, word) {
  const margin = document.getElementById(place);
  if (!margin) return;
  const stamp = document.createElement('div');
  stamp.className = `stamp ${kind} keeping`;
  const outcome = document.createElement('p');
  outcome.className = 'outcome';
  outcome.textContent = word;
  const state = document.createElement('p');
  state.className = 'soft';
  state.textContent = 'Keeping it …';
  stamp.append(outcome, state);
  margin.querySelector(':scope > .keeping')?.remove();
  margin.querySelector(':scope > .notkept')?.remove();
  margin.prepend(stamp);
  margin.classList.add('pending');
}

/** @param {string} place */
function unpaint(place) {
  const margin = document.getElementById(place);
  margin?.querySelector(':scope > .keeping')?.remove();
  margin?.classList.remove('pending');
}

/** @param {string} place @param {string} words */
function notKept(place, words) {
  const told = document.createElement('p');
  told.className = 'notice bad notkept';
  told.setAttribute('role', 'alert');
  told.textContent = words;
  document.getElementById(place)?.prepend(told);
}

/** @param {Job} job @param {{kind: string, word: string}} [stamp] */
export function send(job, stamp) {
  if (stamp) pending(job.place, stamp.kind, stamp.word);
  if (job.form) delete job.form.dataset.touched; // what is typed from now on is new
  job.before = attempt().dataset.last;
  if (job.decides) attempt().dataset.last = job.path.endsWith('/decide') ? job.decides : ''; // so that it can be taken back at once
  queue.push(job);
  if (!busy) painted(() => { if (!busy) void run(); });
}

/** What stands over a margin until the sheet is drawn afresh says that it is kept. @param {string} place */
function kept(place) {
  const state = document.querySelector(`#${CSS.escape(place)} > .keeping > .soft`);
  if (state) state.textContent = 'Kept.';
}

/** Draws the sheet afresh once nobody presses a key. */
export function later() {
  clearTimeout(soon);
  soon = window.setTimeout(() => {
    soon = 0;
    void redraw(() => !waits());
  }, quiet);
}
document.addEventListener('keydown', () => { if (soon) later(); }, { capture: true });

/** @param {Job} job @returns {Promise<{told: string, heard: boolean} | null>} what was said against it; null where it was kept */
async function post(job) {
  try {
    const answer = await fetch(job.path, { method: 'POST', body: job.body, headers: { Accept: 'application/json' } });
    if (answer.ok) return null;
    const problem = await answer.json().catch(() => ({}));
    const told = new Set([problem.title, ...(problem.fields ?? []).map((/** @type {{message: string}} */ f) => f.message)]);
    return { told: Array.from(told).filter(Boolean).join(' ') || 'The centre did not take it.', heard: true };
  } catch {
    return { told: '', heard: false };
  }
}

async function run() {
  busy = true;
  while (queue.length > 0) {
    const job = queue[0];
    job.body.set('revision', attempt().dataset.revision ?? '');
    const trouble = await post(job);
    if (trouble) {
      await failed(queue.splice(0), trouble);
      break;
    }
    queue.shift();
    say(job.said);
    if (!job.decides) await redraw(() => true);
    else {
      attempt().dataset.revision = String(Number(attempt().dataset.revision) + 1); // each decision raises it by one
      kept(job.place);
    }
  }
  busy = false;
  later();
}

/** Puts what was sent back into its form, which may have been drawn afresh, so that none of it is lost. @param {Job} job */
function giveBack(job) {
  const form = Array.from(document.forms).find((f) => f.getAttribute('action') === job.path && ['criterion', 'line'].every((n) => {
    const hidden = /** @type {HTMLInputElement | null} */ (f.querySelector(`[name="${n}"]`));
    return !hidden || hidden.value === job.body.get(n);
  }));
  if (!form || !job.form) return;
  for (const field of /** @type {Iterable<HTMLInputElement>} */ (form.elements)) {
    const sent = job.body.get(field.name);
    if (sent === null || field.type === 'hidden' || field.type === 'password') continue;
    if (field.type === 'radio') field.checked = field.value === sent && !field.disabled;
    else field.value ||= sent;
  }
  form.dataset.touched = 'yes';
}

/** @param {Job[]} jobs the first was not taken, so that the others, which came after it, are not sent
 * @param {{told: string, heard: boolean}} trouble */
async function failed(jobs, trouble) {
  attempt().dataset.last = jobs[0].before;
  const fresh = await redraw(() => true);
  let words = `Not kept. ${trouble.told}`;
  if (!trouble.heard) words = fresh ? 'No answer came. What stands here is what the centre has.' : 'Not kept: there is no way to the centre just now. Try again once there is.';
  for (const job of jobs) {
    unpaint(job.place);
    giveBack(job);
    notKept(job.place, job === jobs[0] ? words : 'Not kept either, since it came after one that was not. Look again, then decide.');
  }
  say(words);
}
