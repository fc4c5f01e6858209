// @ts-check
// A row of buttons for the signs that a phone's keyboard hides.

const signs = ['×', '÷', '−', '²', '√', '(', ')', 'π', 'Δ', '='];

/**
 * @param {HTMLTextAreaElement} area
 * @param {string} sign
 */
function insert(area, sign) {
  area.focus();
  area.setRangeText(sign, area.selectionStart, area.selectionEnd, 'end');
  area.dispatchEvent(new Event('input', { bubbles: true }));
}

for (const found of document.querySelectorAll('textarea[data-symbols]')) {
  const area = /** @type {HTMLTextAreaElement} */ (found);
  const row = document.createElement('div');
  row.className = 'symbols';
  row.setAttribute('role', 'group');
  row.setAttribute('aria-label', 'Signs for the working');
  for (const sign of signs) {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = sign;
    button.addEventListener('click', () => insert(area, sign));
    row.append(button);
  }
  area.after(row);
}
