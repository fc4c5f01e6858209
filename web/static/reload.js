// @ts-check
// Loads a page again while something is being worked on, unless somebody is in the middle of a form.

const seconds = Number(document.body.dataset.again);
let touched = false;

document.addEventListener('input', () => { touched = true; });

if (seconds > 0) {
  setInterval(() => {
    if (!touched && document.visibilityState === 'visible') location.reload();
  }, seconds * 1000);
}
