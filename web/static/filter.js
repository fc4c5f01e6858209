// @ts-check
// Finds rows of a long table by what is typed.

for (const input of document.querySelectorAll('input[data-filter]')) {
  const field = /** @type {HTMLInputElement} */ (input);
  const table = document.getElementById(field.dataset.filter ?? '');
  const row = field.closest('.filterrow');
  const none = document.getElementById(`${field.dataset.filter}-none`);
  if (!table || !(row instanceof HTMLElement)) continue;
  row.hidden = false;
  field.addEventListener('input', () => {
    const words = field.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
    let found = false;
    for (const tr of /** @type {NodeListOf<HTMLElement>} */ (table.querySelectorAll('tbody tr'))) {
      const text = `${tr.textContent} ${tr.dataset.words ?? ''}`.toLocaleLowerCase();
      tr.hidden = !words.every((w) => text.includes(w));
      found ||= !tr.hidden;
    }
    if (none) none.hidden = found;
  });
}
