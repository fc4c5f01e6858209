// @ts-check
// Says beside a line how it reads while it is typed, where there is signal. It keeps nothing, and never stands in the way.

const sheet = /** @type {HTMLElement | null} */ (document.querySelector('.sheet[data-look]'));
const request = new XMLHttpRequest();
let timer = 0;

/** @param {Element} line */
const placeIn = (line) => /** @type {Element} */ (line.querySelector('.asread'));

/** @param {HTMLElement} line */
function look(line) {
  const body = new URLSearchParams({ line: line.dataset.line ?? '' });
  for (const e of /** @type {NodeListOf<HTMLInputElement>} */ (line.querySelectorAll('[name]'))) {
    const [part] = e.name.split(':');
    if (/^(text|unit|working)$/.test(part)) body.set(part, e.value);
  }
  request.open('POST', sheet?.dataset.look ?? ''); // ends the one before
  request.responseType = 'document';
  request.onload = () => {
    const said = request.status === 200 ? request.responseXML?.body.childNodes ?? [] : [];
    placeIn(line).replaceChildren(...Array.from(said, (n) => document.importNode(n, true)));
  };
  request.send(body);
}

/** @param {Element} field */
function typed(field) {
  const line = /** @type {HTMLElement | null} */ (field.closest('[data-reads]'));
  if (!line) return;
  clearTimeout(timer);
  request.abort();
  placeIn(line).replaceChildren();
  if (navigator.onLine) timer = window.setTimeout(look, 600, line);
}

/** @param {Event} event a spelling that was tapped takes the place of the number */
function tapped(event) {
  const button = /** @type {Element} */ (event.target).closest('[data-plain]');
  const field = /** @type {HTMLInputElement | null | undefined} */ (button?.closest('[data-reads]')?.querySelector('[name^="text:"]'));
  if (!button || !field) return;
  field.value = /** @type {HTMLElement} */ (button).dataset.plain ?? '';
  field.focus();
  field.dispatchEvent(new Event('input', { bubbles: true }));
}

if (sheet) {
  sheet.addEventListener('input', (event) => typed(/** @type {Element} */ (event.target)));
  sheet.addEventListener('click', tapped);
  const now = /** @type {HTMLInputElement | null} */ (document.activeElement);
  if (now && now.value !== now.defaultValue) typed(now); // typed before this was here
}
