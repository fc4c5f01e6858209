// @ts-check
// Covers over a photo that the server has: its form brings the dialog first.

/** @param {SubmitEvent} event */
async function first(event) {
  const form = /** @type {HTMLFormElement} */ (event.target);
  const covers = form.matches('.coverform') && /** @type {HTMLInputElement | null} */ (form.elements.namedItem('covers'));
  if (!covers || covers.value) return;
  event.preventDefault();
  const [{ lay }, { cover }] = await Promise.all([import('./lay.js'), import('./coverwords.js')]);
  const laid = await lay(form.dataset.src ?? '', { send: cover.keep, none: '' });
  if (!laid?.length) return;
  covers.value = JSON.stringify(laid);
  form.submit();
}

document.addEventListener('submit', (event) => void first(event));
