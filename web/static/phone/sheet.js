// @ts-check
// The sheet of this page, and how things are shown on it.

export const sheet = /** @type {HTMLElement | null} */ (document.querySelector('.sheet[data-attempt]'));
export const attempt = sheet?.dataset.attempt ?? '';

/**
 * @param {string} text
 * @param {() => unknown} act
 */
export function button(text, act) {
  const b = document.createElement('button');
  b.type = 'button';
  b.textContent = text;
  b.addEventListener('click', () => void act());
  return b;
}

/**
 * Puts words where a state stands, unless they stand there already: it is read out when it changes.
 * @param {Element | null} place
 * @param {string} look "", "good" or "bad"
 * @param {string} words
 * @param {(Node | string)[]} more
 */
export function put(place, look, words, ...more) {
  if (!place || (place.firstChild?.textContent ?? '') === words && place.classList.contains(look || 'sent') && place.childNodes.length === more.length + Number(words !== '')) return;
  place.className = `sent ${look}`;
  place.replaceChildren(...(words ? [words] : []), ...more);
}
