// @ts-check
// Finds rows of a long table by what is typed.

for (const input of document.querySelectorAll('input[data-filter]')) {
  const field = /** @type {HTMLInputElement} */ (input);
  const table = document.getElementById(field.dataset.filter ?? '');
  const row = field.closest('.filterrow');
  if (!table || !(row instanceof HTMLElement)) continue;
  row.hidden = false;
  field.addEventListener('input', () => {
    const words = field.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
    for (const tr of table.querySelectorAll('tbody tr')) {
      const text = (tr.textContent ?? '').toLocaleLowerCase();
      /** @type {HTMLElement} */ (tr).hidden = !words.every((w) => text.includes(w));
    }
  });
}
