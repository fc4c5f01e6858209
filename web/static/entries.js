// @ts-check
// Keeps every line of a sheet as it is left: on this device at once, at the centre as soon as it can be reached. Without
// this module each stage has a button that does the same.
import { newID } from './ids.js';
import { refreshLive } from './live.js';

/** @typedef {{text: string, unit: string, working: string, was: string, at: number}} Kept what was typed into one line */

const sheet = /** @type {HTMLElement | null} */ (document.querySelector('[data-attempt]'));
const attempt = sheet?.dataset.attempt ?? '';

/** @type {Set<HTMLElement>} lines that have not been received as they stand */
const waiting = new Set();
let sending = false;
let timer = 0;

/** @param {HTMLElement} line */
const nameOf = (line) => line.dataset.line ?? '';
/** @param {HTMLElement} line */
const keyOf = (line) => `wm ${attempt} ${nameOf(line)}`;

/**
 * @param {HTMLElement} line
 * @param {string} part "id", "was", "text", "unit" or "working"
 * @returns {HTMLInputElement[]}
 */
function inputs(line, part) {
  const name = `${part}:${nameOf(line)}`;
  return /** @type {HTMLInputElement[]} */ (Array.from(line.querySelectorAll('[name]')).filter((e) => e.getAttribute('name') === name));
}

/** @param {HTMLInputElement} e */
const isTick = (e) => e.type === 'checkbox' || e.type === 'radio';

/**
 * @param {HTMLElement} line
 * @param {string} part
 */
function value(line, part) {
  const all = inputs(line, part);
  const ticked = all.find((e) => !isTick(e) || e.checked);
  return ticked ? ticked.value : '';
}

/**
 * @param {HTMLElement} line
 * @param {string} part
 * @param {string} to
 */
function fill(line, part, to) {
  for (const e of inputs(line, part)) {
    if (isTick(e)) e.checked = e.value === to;
    else e.value = to;
  }
}

/**
 * @param {HTMLElement} line
 * @param {string} words
 * @param {string} [look]
 */
function say(line, words, look = '') {
  const place = line.querySelector('.sent');
  if (!place) return;
  place.textContent = words;
  place.className = `sent ${look}`;
}

/** @param {HTMLElement} line @returns {Kept} */
const read = (line) => ({ text: value(line, 'text'), unit: value(line, 'unit'), working: value(line, 'working'), was: value(line, 'was'), at: Date.now() });

/** @param {HTMLElement} line */
function touch(line) {
  waiting.add(line);
  try {
    localStorage.setItem(keyOf(line), JSON.stringify(read(line)));
    say(line, 'kept here');
  } catch {
    say(line, 'not sent yet'); // no room on the device, or not allowed
  }
}

/** @param {number} ms */
function soon(ms) {
  clearTimeout(timer);
  timer = window.setTimeout(() => void send(), ms);
}

/** @returns {Promise<boolean>} whether everything has been received */
export async function send() {
  clearTimeout(timer);
  if (sending) return new Promise((done) => setTimeout(() => done(send()), 200));
  if (waiting.size === 0) return true;
  sending = true;
  const batch = new Map(Array.from(waiting, (line) => [line, read(line)]));
  const body = new URLSearchParams();
  for (const [line, kept] of batch) {
    const name = nameOf(line);
    body.set(`id:${name}`, value(line, 'id'));
    body.set(`was:${name}`, kept.was);
    body.set(`at:${name}`, String(kept.at));
    body.set(`text:${name}`, kept.text);
    body.set(`unit:${name}`, kept.unit);
    body.set(`working:${name}`, kept.working);
    say(line, 'sent');
  }
  const ok = await deliver(body, batch);
  sending = false;
  if (!ok) return false;
  void refreshLive();
  return waiting.size === 0 || send();
}

/**
 * @param {URLSearchParams} body
 * @param {Map<HTMLElement, Kept>} batch
 */
async function deliver(body, batch) {
  try {
    const answer = await fetch(`/attempts/${attempt}/entries`, { method: 'POST', body, headers: { Accept: 'application/json' } });
    const said = await answer.json();
    if (answer.ok) {
      for (const [line, kept] of batch) settle(line, kept, said);
      return true;
    }
    for (const line of batch.keys()) say(line, said.title ?? 'not taken', 'bad');
    if (answer.status >= 500) soon(15_000);
  } catch {
    for (const line of batch.keys()) say(line, 'kept here, not sent: no connection');
    soon(15_000);
  }
  return false;
}

/**
 * @param {HTMLElement} line
 * @param {Kept} kept as it was sent
 * @param {{at: string, was: Record<string, string>}} said
 */
function settle(line, kept, said) {
  fill(line, 'was', said.was[nameOf(line)] ?? '');
  fill(line, 'id', newID());
  const now = read(line);
  if (now.text !== kept.text || now.unit !== kept.unit || now.working !== kept.working) {
    touch(line); // typed on while it was on its way
    return;
  }
  waiting.delete(line);
  localStorage.removeItem(keyOf(line));
  say(line, `received ${said.at.split(', ').pop()}`, 'good');
}

/** @param {HTMLElement} line */
function restore(line) {
  const text = localStorage.getItem(keyOf(line));
  if (!text) return;
  /** @type {Kept} */
  let kept;
  try {
    kept = JSON.parse(text);
  } catch {
    localStorage.removeItem(keyOf(line));
    return;
  }
  const now = read(line);
  if (now.text === kept.text && now.unit === kept.unit && now.working === kept.working) {
    localStorage.removeItem(keyOf(line));
  } else if (now.was === kept.was) {
    for (const part of /** @type {const} */ (['text', 'unit', 'working'])) fill(line, part, kept[part]);
    touch(line);
  } else {
    say(line, `typed here before and not sent: ${kept.text || kept.working}`);
  }
}

if (sheet) {
  for (const found of sheet.querySelectorAll('.line[data-line]')) {
    const line = /** @type {HTMLElement} */ (found);
    restore(line);
    line.addEventListener('input', () => { touch(line); soon(1500); });
    line.addEventListener('change', () => soon(50));
  }
  if (waiting.size > 0) soon(50);
  for (const hint of document.querySelectorAll('.autosave')) /** @type {HTMLElement} */ (hint).hidden = false;
  window.addEventListener('online', () => soon(0));
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'hidden') void send(); });
  for (const found of document.querySelectorAll('form[data-flush]')) {
    const form = /** @type {HTMLFormElement} */ (found);
    form.addEventListener('submit', async (event) => {
      if (waiting.size === 0 && !sending) return;
      event.preventDefault();
      if (await send()) form.submit();
      else say(form, 'Not handed over: some lines have not been received. They are kept here; mend what is said beside them, or try again when there is a connection.', 'bad');
    });
  }
}
