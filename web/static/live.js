// @ts-check
// Brings parts of the page up to date with what the server draws, without touching what is being typed.

/** A form that came back stands under the form's own address, which cannot be asked for. */
function address() {
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector('[data-attempt]'));
  return sheet ? `/attempts/${sheet.dataset.attempt}` : location.pathname;
}

/**
 * Asks for this page afresh and puts the named parts of it in place of those shown.
 * @param {(id: string) => boolean} wanted which parts, by id
 * @returns {Promise<void>}
 */
export function refresh(wanted) {
  return new Promise((done) => {
    const request = new XMLHttpRequest();
    request.open('GET', address());
    request.responseType = 'document';
    request.onloadend = () => {
      const fresh = request.status === 200 ? request.responseXML : null;
      for (const part of fresh?.querySelectorAll('[id]') ?? []) {
        if (!wanted(part.id)) continue;
        document.getElementById(part.id)?.replaceWith(document.importNode(part, true));
      }
      done();
    };
    request.send();
  });
}

/** @returns {Promise<void>} after every part marked data-live was brought up to date */
export function refreshLive() {
  const live = new Set(Array.from(document.querySelectorAll('[data-live]'), (e) => e.id));
  return refresh((id) => live.has(id));
}
