// @ts-check
// Brings parts of the page up to date with what the server draws, without touching what is being typed.

/** A form that came back stands under the form's own address, which cannot be asked for. */
function address() {
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector('[data-attempt]'));
  return sheet ? `/attempts/${sheet.dataset.attempt}` : location.pathname;
}

/** @param {string} where @returns {Promise<Document | null>} the page there as it is drawn for this person now; null where it is not to be had */
export function ask(where) {
  return new Promise((done) => {
    const request = new XMLHttpRequest();
    request.open('GET', where);
    request.responseType = 'document';
    request.onloadend = () => {
      const fresh = request.status === 200 ? request.responseXML : null;
      done(fresh?.documentElement.dataset.person === document.documentElement.dataset.person ? fresh : null);
    };
    request.send();
  });
}

/**
 * Asks for this page afresh and puts the named parts of it in place of those shown. The event "drawn" has the fresh page.
 * @param {(id: string) => boolean} wanted which parts, by id
 */
export async function refresh(wanted) {
  const fresh = await ask(address());
  if (!fresh || !(Number(fresh.body.dataset.drawn) >= Number(document.body.dataset.drawn))) return; // older than what is shown
  for (const part of fresh.querySelectorAll('[id]')) {
    if (wanted(part.id)) document.getElementById(part.id)?.replaceWith(document.importNode(part, true));
  }
  document.body.dataset.drawn = fresh.body.dataset.drawn;
  document.dispatchEvent(new CustomEvent('drawn', { detail: fresh }));
}

/** @returns {Promise<void>} after every part marked data-live was brought up to date */
export function refreshLive() {
  const live = new Set(Array.from(document.querySelectorAll('[data-live]'), (e) => e.id));
  return refresh((id) => live.has(id));
}
