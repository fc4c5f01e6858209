// @ts-check
// What a tutor does at a criterion: each is the form that stands there, filled in by a key or a click and sent in the background.
import { send } from './send.js';
import { attempt, goTo, here, painted, say, section } from './sheet.js';

/** @param {HTMLElement | null} at @returns {HTMLFormElement | null} the form that decides the criterion */
const decideForm = (at) => at?.querySelector('form.decide') ?? null;

/** @param {HTMLFormElement} form @param {string} name @returns {string} */
const valueOf = (form, name) => String(new FormData(form).get(name) ?? '');

/** @param {Element} inside unfolds what it stands in */
export function unfold(inside) {
  inside.closest('.margin.pending')?.classList.remove('pending'); // what was stamped is kept or on its way: it is to be decided again
  for (let fold = inside.closest('details'); fold; fold = fold.parentElement?.closest('details') ?? null) fold.open = true;
}

/** @param {HTMLFormElement} form @param {string} outcome "" where none was chosen, which the server then says */
function stamp(form, outcome) {
  const ref = valueOf(form, 'criterion');
  const body = new URLSearchParams(/** @type {any} */ (new FormData(form)));
  if (outcome) body.set('outcome', outcome);
  if (outcome === 'met') body.delete('reason');
  const ready = outcome === 'met' || (outcome && body.get('reason') && body.get('words')?.trim());
  const word = outcome === 'met' ? 'met' : 'not yet met';
  const job = { path: form.getAttribute('action') ?? '', body, place: form.closest('.margin')?.id ?? '', said: `Kept: ${ref} ${word}. u takes it back.`, decides: ref, form };
  send(job, ready ? { kind: outcome === 'met' ? 'met' : 'notyet', word } : undefined);
}

const nowhere = () => say('Go to a criterion first: n goes to the first item.');

export function met() {
  const at = section();
  const form = decideForm(at);
  if (!at || !form) return nowhere();
  if (form.querySelector('[value="met"]:disabled')) return say(`${at.dataset.criterion} cannot be met as things stand. ${at.querySelector('.blocked li')?.textContent ?? ''}`);
  if (at.querySelector('.stamp.met:not(.again)')) return say(`${at.dataset.criterion} is met already.`);
  stamp(form, 'met');
}

/** Opens the form for not yet met, with the focus on what is still to be said. */
export function notYet() {
  const form = decideForm(section());
  if (!form) return nowhere();
  unfold(form);
  /** @type {HTMLInputElement} */ (form.querySelector('[value="not_yet_met"]')).checked = true;
  form.dataset.touched = 'yes';
  const [reason, words] = /** @type {[HTMLSelectElement, HTMLTextAreaElement]} */ (/** @type {unknown} */ ([form.querySelector('[name="reason"]'), form.querySelector('[name="words"]')]));
  (reason.value ? words : reason).focus();
}

/** Puts a stock remark in; one that begins with a respect chooses that as well. @param {string} remark */
export function putIn(remark) {
  const form = decideForm(section());
  if (!form) return nowhere();
  unfold(form);
  const [, reason, words] = /^(?:(valid|authentic|current|sufficient|safe):\s*)?(.*)$/.exec(remark) ?? [];
  const field = /** @type {HTMLTextAreaElement} */ (form.querySelector('[name="words"]'));
  field.value = [field.value.trim(), words].filter(Boolean).join(' ');
  if (reason) {
    /** @type {HTMLInputElement} */ (form.querySelector('[value="not_yet_met"]')).checked = true;
    /** @type {HTMLSelectElement} */ (form.querySelector('[name="reason"]')).value = reason;
  }
  form.dataset.touched = 'yes';
  say(`Put in: ${words} Ctrl and Enter stamp it.`);
}

/** @param {number} n from 1 */
export function putInNumber(n) {
  const remark = document.querySelectorAll('#remarks ol button')[n - 1];
  if (remark) putIn(remark.textContent ?? '');
  else say(`You have no remark ${n} yet. Change your remarks below.`);
}

/** Takes the last decision back. */
export function undo() {
  const ref = attempt().dataset.last;
  const at = ref && /** @type {HTMLElement | null} */ (document.querySelector(`.judged[data-criterion="${CSS.escape(ref)}"]`));
  if (!ref || !at) return say('There is no decision of yours to take back here.');
  goTo(/** @type {HTMLElement | null} */ (at.querySelector('.item')) ?? at);
  const job = { path: `${attempt().dataset.address}/take-back`, body: new URLSearchParams({ criterion: ref }), place: at.querySelector('.margin')?.id ?? '', said: `Taken back: ${ref} is open again.`, decides: ref };
  send(job, { kind: 'open', word: 'open again' });
}

/** Opens the question to the trainee, or the answer where one was asked. */
export function question() {
  const field = /** @type {HTMLElement | null | undefined} */ (section()?.querySelector('form[action$="/answer"] textarea, form[action$="/question"] textarea'));
  if (!field) return nowhere();
  unfold(field);
  field.focus();
}

/** Opens the form for the tutor's own word on a line: the first that wants an eye. */
export function judgeLine() {
  const at = here();
  const field = /** @type {HTMLElement | null | undefined} */ (at?.querySelector('.attend form[action$="/override"] input[type="radio"]') ?? at?.querySelector('form[action$="/override"] input[type="radio"]'));
  if (!field) return say('The marker has said nothing here to judge.');
  unfold(field);
  field.focus();
}

/** Unfolds how the figures of the item are worked out, or folds it away. What lies in a fold within a fold, which is the typeset
 * working, follows once the outer one is on the screen: both in one frame would hold up the key. */
export function details() {
  const all = /** @type {HTMLDetailsElement[]} */ (Array.from(here()?.querySelectorAll('details.settled, details:has(> .explained)') ?? []));
  const open = all.some((d) => !d.open);
  const outer = (/** @type {Element} */ d) => /** @type {HTMLDetailsElement | null | undefined} */ (d.parentElement?.closest('details'));
  const inner = open ? all.filter((d) => outer(d)?.open === false) : [];
  for (const d of all) if (!inner.includes(d)) d.open = open;
  if (inner.length > 0) painted(() => { for (const d of inner) d.open = outer(d)?.open ?? false; });
  if (all.length === 0) say('Nothing is folded away here.');
}

export function look() {
  const photo = /** @type {HTMLElement | null | undefined} */ (here()?.querySelector('a.zoom'));
  if (photo) photo.click();
  else say('There is no photo here.');
}

export function finish() {
  const close = document.getElementById('close');
  if (!close) return say('There is nothing to sign here.');
  close.scrollIntoView({ block: 'start' });
  const first = /** @type {HTMLElement | null} */ (close.querySelector('textarea, input:not([type="hidden"])'));
  if (first) first.focus();
  else {
    close.tabIndex = -1;
    close.focus({ preventScroll: true });
  }
}

const stays = /\/(decide|take-back|override|check-reading|question|answer)$/;

document.addEventListener('submit', (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  const action = form.getAttribute('action') ?? '';
  if (!stays.test(action) || !document.getElementById('judging')) return;
  event.preventDefault();
  if (action.endsWith('/decide')) return stamp(form, valueOf(form, 'outcome'));
  const ref = valueOf(form, 'criterion');
  const body = new URLSearchParams(/** @type {any} */ (new FormData(form)));
  const place = (form.closest('.margin') ?? form.closest('.item'))?.id ?? '';
  if (action.endsWith('/take-back')) send({ path: action, body, place, said: `Taken back: ${ref} is open again.`, decides: ref }, { kind: 'open', word: 'open again' });
  else send({ path: action, body, place, said: 'Kept.', form });
});
document.addEventListener('click', (event) => {
  const remark = /** @type {Element} */ (event.target).closest('#remarks ol button');
  if (remark) putIn(remark.textContent ?? '');
});
