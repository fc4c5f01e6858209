// @ts-check
// Shows a photo whole in a dialog, beside what must be visible in it: plus, minus and nought zoom, r turns it for whoever looks
// (the photo stays as it is), arrows move, two fingers pinch, Escape closes. Without this module the link opens the photo by itself.

const most = 8;
/** @type {HTMLDialogElement | null} */
let dialog = null;
const view = { scale: 1, x: 0, y: 0, turns: 0 };
/** @type {Map<number, {x: number, y: number}>} fingers that are down */
const fingers = new Map();
/** @type {HTMLAnchorElement[]} */
let photos = [];
let at = 0;

/** @returns {HTMLImageElement} */
const picture = () => /** @type {HTMLImageElement} */ (dialog?.querySelector('img'));

function draw() {
  const [img, stage] = [picture(), /** @type {HTMLElement} */ (picture().parentElement)];
  const fit = view.turns % 2 ? Math.min(1, stage.clientHeight / img.clientWidth, stage.clientWidth / img.clientHeight) || 1 : 1; // on its side, still whole
  img.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale * fit}) rotate(${view.turns * 90}deg)`;
}

/** @param {number} by */
function zoom(by) {
  view.scale = Math.min(most, Math.max(1, view.scale * by));
  if (view.scale === 1) view.x = view.y = 0;
  draw();
}

/** @param {number} dx @param {number} dy */
function move(dx, dy) {
  if (view.scale === 1) return;
  view.x += dx;
  view.y += dy;
  draw();
}

function turn() {
  view.turns = (view.turns + 1) % 4;
  draw();
}

/** @param {number} n */
function show(n) {
  at = (n + photos.length) % photos.length;
  const small = photos[at].querySelector('img');
  Object.assign(view, { scale: 1, x: 0, y: 0, turns: 0 });
  picture().src = photos[at].href;
  picture().alt = small?.alt ?? '';
  const caption = photos[at].closest('figure')?.querySelector('figcaption');
  /** @type {HTMLElement} */ (dialog?.querySelector('p')).textContent = caption?.textContent ?? '';
  const asked = photos[at].closest('.item')?.querySelector('.mustsee')?.cloneNode(true);
  dialog?.querySelector('.mustsee')?.remove();
  if (asked) dialog?.append(asked);
  draw();
}

/** @param {string} words @param {() => void} act */
function button(words, act) {
  const b = document.createElement('button');
  b.type = 'button';
  b.textContent = words;
  b.addEventListener('click', act);
  return b;
}

function make() {
  const d = document.createElement('dialog');
  d.className = 'zoomed';
  d.setAttribute('aria-label', 'Photo');
  const stage = document.createElement('div');
  stage.className = 'stagepic';
  stage.append(document.createElement('img'));
  const bar = document.createElement('div');
  bar.className = 'actions';
  bar.append(button('Closer', () => zoom(1.5)), button('Wider', () => zoom(1 / 1.5)), button('Turn', turn), button('Before', () => show(at - 1)), button('Next', () => show(at + 1)), button('Close', () => d.close()));
  d.append(stage, document.createElement('p'), bar);
  d.addEventListener('keydown', keys);
  stage.addEventListener('wheel', (e) => { e.preventDefault(); zoom(e.deltaY < 0 ? 1.2 : 1 / 1.2); }, { passive: false });
  stage.addEventListener('pointerdown', (e) => { stage.setPointerCapture(e.pointerId); fingers.set(e.pointerId, { x: e.clientX, y: e.clientY }); });
  stage.addEventListener('pointermove', drag);
  for (const end of ['pointerup', 'pointercancel']) stage.addEventListener(end, (e) => fingers.delete(/** @type {PointerEvent} */ (e).pointerId));
  document.body.append(d);
  return d;
}

/** @param {KeyboardEvent} e */
function keys(e) {
  const step = 60;
  /** @type {Record<string, () => void>} */
  const acts = {
    '+': () => zoom(1.5), '=': () => zoom(1.5), '-': () => zoom(1 / 1.5), 0: () => zoom(0), r: turn,
    ArrowUp: () => move(0, step), ArrowDown: () => move(0, -step),
    ArrowLeft: () => (view.scale === 1 ? show(at - 1) : move(step, 0)),
    ArrowRight: () => (view.scale === 1 ? show(at + 1) : move(-step, 0)),
  };
  if (!acts[e.key]) return;
  e.preventDefault();
  acts[e.key]();
}

/** @param {PointerEvent} e */
function drag(e) {
  const before = fingers.get(e.pointerId);
  if (!before) return;
  const other = Array.from(fingers).find(([id]) => id !== e.pointerId)?.[1];
  if (other) {
    const gap = (/** @type {{x: number, y: number}} */ p) => Math.hypot(p.x - other.x, p.y - other.y) || 1;
    zoom(gap({ x: e.clientX, y: e.clientY }) / gap(before));
  } else {
    move(e.clientX - before.x, e.clientY - before.y);
  }
  fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
}

document.addEventListener('click', (event) => {
  const link = /** @type {Element} */ (event.target).closest?.('a.zoom');
  if (!(link instanceof HTMLAnchorElement) || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  photos = /** @type {HTMLAnchorElement[]} */ (Array.from((link.closest('ul') ?? document).querySelectorAll('a.zoom')));
  dialog ??= make();
  show(photos.indexOf(link));
  dialog.showModal();
});
