// @ts-check
// A brief being written: what the checker says and the formulas as they are printed follow what is typed, and entries come, go
// and move without the page being loaded again. Without this module every button does the same by sending the sheet.
import './page.js';

const writing = /** @type {HTMLFormElement | null} */ (document.getElementById('writing'));

/** How long after the last key the sheet is looked at, in milliseconds. */
const pause = 400;

/**
 * Sends the sheet and gives the page that comes back, or null.
 * @param {string} what the button that it is sent with
 * @returns {Promise<Document | null>}
 */
function sent(what) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(/** @type {HTMLFormElement} */ (writing))) if (typeof value === 'string') body.append(name, value);
  body.set('do', what);
  return new Promise((done) => {
    const request = new XMLHttpRequest();
    request.open('POST', '/briefs');
    request.responseType = 'document';
    request.onloadend = () => done(request.status === 200 && request.responseXML?.getElementById('checked') ? request.responseXML : null);
    request.send(body);
  });
}

/** Puts what is said of the sheet in place. @param {Document} fresh */
function say(fresh) {
  for (const part of document.querySelectorAll('#writing [data-live]')) {
    const now = fresh.getElementById(part.id);
    if (part.id === 'checked') part.className = now?.className ?? part.className;
    const open = part.querySelector('details')?.open;
    part.replaceChildren(...Array.from(now?.childNodes ?? [], (n) => document.importNode(n, true)));
    const details = part.querySelector('details');
    if (details && open !== undefined) details.open = open;
    if (!part.id.endsWith('-mend')) continue;
    const field = document.getElementById(part.id.slice(0, -'-mend'.length));
    if (!field?.matches('input, select, textarea')) continue;
    field.toggleAttribute('aria-invalid', false);
    if (part.querySelector('.mend')) field.setAttribute('aria-invalid', 'true');
  }
  ways();
}

/** Makes a way into the text of each place that a problem names. */
function ways() {
  if (!document.getElementById('source')) return;
  for (const place of document.querySelectorAll('#checked .problems strong')) {
    const way = document.createElement('button');
    way.type = 'button';
    way.className = 'quiet';
    [way.dataset.line, way.dataset.column] = place.textContent?.match(/\d+/g) ?? [];
    way.textContent = place.textContent;
    place.replaceWith(way);
  }
}

/** Which folds stand open, so that they do again. */
function folds() {
  return new Map(Array.from(document.querySelectorAll('#front details'), (d) => [d.id, /** @type {HTMLDetailsElement} */ (d).open]));
}

if (writing) {
  let asked = 0;
  let timer = 0;
  const look = async () => {
    const mine = ++asked;
    const fresh = await sent('look');
    if (fresh && mine === asked) say(fresh);
  };
  writing.addEventListener('input', () => {
    writing.dataset.changed = '';
    clearTimeout(timer);
    timer = window.setTimeout(look, pause);
  });

  let going = false;
  addEventListener('beforeunload', (e) => {
    if ('changed' in writing.dataset && !going) e.preventDefault();
  });
  writing.addEventListener('submit', async (e) => {
    const button = /** @type {HTMLButtonElement | null} */ (e.submitter);
    if (going || !button?.classList.contains('change')) {
      going = true;
      return;
    }
    e.preventDefault();
    clearTimeout(timer);
    asked++;
    writing.dataset.changed = '';
    const open = folds();
    const fresh = await sent(button.value);
    const front = document.getElementById('front');
    const now = fresh?.getElementById('front');
    if (!fresh || !front || !now) {
      going = true;
      writing.requestSubmit(button);
      return;
    }
    front.replaceWith(document.importNode(now, true));
    const source = /** @type {HTMLTextAreaElement} */ (writing.elements.namedItem('source'));
    source.value = /** @type {HTMLTextAreaElement | null} */ (fresh.querySelector('textarea[name=source]'))?.value ?? source.value;
    for (const d of /** @type {NodeListOf<HTMLDetailsElement>} */ (document.querySelectorAll('#front details'))) d.open ||= open.get(d.id) ?? false;
    say(fresh);
    const first = /** @type {HTMLElement | null} */ (document.querySelector('#front [autofocus]'));
    first?.focus();
    first?.scrollIntoView({ block: 'center' });
  });
  ways();
  // The line that a problem is about, in the text on the back.
  writing.addEventListener('click', (e) => {
    const place = /** @type {Element} */ (e.target).closest('[data-line]');
    const text = document.getElementById('source');
    if (!(place instanceof HTMLElement) || !(text instanceof HTMLTextAreaElement)) return;
    const lines = text.value.split('\n');
    const line = Number(place.dataset.line) - 1;
    const at = lines.slice(0, line).reduce((n, l) => n + l.length + 1, 0) + [...(lines[line] ?? '')].slice(0, Number(place.dataset.column) - 1).join('').length;
    text.focus();
    text.setSelectionRange(at, at);
    text.scrollTop = (line - 4) * (text.scrollHeight / lines.length);
  });
}
