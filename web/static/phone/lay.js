// @ts-check
// A dialog in which rectangles are laid over a photo: with a finger, with its buttons, or with keys.
import { button } from './sheet.js';
import { cover as say } from './coverwords.js';

/** @typedef {{x: number, y: number, w: number, h: number}} Cover in parts of the upright picture */

const step = 0.02;
const least = 0.02;
/** How each key and button changes a cover: x, y, width, height. */
const changes = {
  ArrowLeft: [-step, 0, 0, 0], ArrowRight: [step, 0, 0, 0], ArrowUp: [0, -step, 0, 0], ArrowDown: [0, step, 0, 0],
  wider: [0, 0, step, 0], narrower: [0, 0, -step, 0], taller: [0, 0, 0, step], lower: [0, 0, 0, -step],
};
/** With the shift key arrows change the size. @type {Record<string, keyof typeof changes>} */
const sizing = { ArrowLeft: 'narrower', ArrowRight: 'wider', ArrowUp: 'lower', ArrowDown: 'taller' };

/** @param {number} v @param {number} from @param {number} to */
const between = (v, from, to) => Math.min(to, Math.max(from, v));

/**
 * Lets somebody cover parts of a picture. The picture itself is only looked at.
 * @param {string} src
 * @param {{send: (n: number) => string, none: string}} words of the button that ends it; none: "" where something has to be covered
 * @returns {Promise<Cover[] | null>} null where it was cancelled
 */
export function lay(src, words) {
  /** @type {{cover: Cover, box: HTMLElement}[]} */
  const laid = [];
  /** @type {HTMLElement | null} */
  let chosen = null;

  const dialog = document.createElement('dialog');
  dialog.className = 'covering';
  dialog.setAttribute('aria-labelledby', 'covering');
  const title = Object.assign(document.createElement('h2'), { id: 'covering', textContent: say.title });
  const what = Object.assign(document.createElement('p'), { textContent: say.what });
  const stage = Object.assign(document.createElement('div'), { className: 'coverstage' });
  const img = Object.assign(document.createElement('img'), { src, alt: say.picture });
  img.draggable = false;
  img.onerror = () => { what.textContent = say.unseen; stage.remove(); moves.remove(); };
  stage.append(img);
  const count = Object.assign(document.createElement('p'), { className: 'hint' });
  count.setAttribute('role', 'status');
  const moves = Object.assign(document.createElement('div'), { className: 'covermoves' });
  const ends = Object.assign(document.createElement('div'), { className: 'actions' });
  dialog.append(title, what, stage, moves, count, ends);

  function show() {
    laid.forEach(({ cover: c, box }, i) => {
      Object.assign(box.style, { left: `${c.x * 100}%`, top: `${c.y * 100}%`, width: `${c.w * 100}%`, height: `${c.h * 100}%` });
      box.setAttribute('aria-label', say.nth(i + 1, laid.length));
      box.setAttribute('aria-pressed', String(box === chosen));
    });
    count.textContent = say.count(laid.length);
    done.textContent = laid.length || !words.none ? words.send(laid.length) : words.none;
    done.disabled = !laid.length && !words.none;
    for (const b of moves.querySelectorAll('button')) b.disabled = b !== adding && !chosen;
  }

  /** @param {Cover} cover */
  function put(cover) {
    const box = Object.assign(document.createElement('div'), { className: 'cover', tabIndex: 0 });
    box.setAttribute('role', 'button');
    box.addEventListener('focus', () => { chosen = box; show(); });
    box.addEventListener('keydown', keys);
    laid.push({ cover, box });
    stage.append(box);
    chosen = box;
    show();
    return box;
  }

  /** @param {keyof typeof changes} how */
  function alter(how) {
    const c = laid.find((l) => l.box === chosen)?.cover;
    if (!c) return;
    const [dx, dy, dw, dh] = changes[how];
    c.w = between(c.w + dw, least, 1 - c.x);
    c.h = between(c.h + dh, least, 1 - c.y);
    c.x = between(c.x + dx, 0, 1 - c.w);
    c.y = between(c.y + dy, 0, 1 - c.h);
    show();
  }

  function remove() {
    const at = laid.findIndex((l) => l.box === chosen);
    if (at < 0) return;
    laid.splice(at, 1)[0].box.remove();
    chosen = laid.at(-1)?.box ?? null;
    (chosen ?? adding).focus();
    show();
  }

  /** @param {KeyboardEvent} e */
  function keys(e) {
    if (e.key === 'Delete' || e.key === 'Backspace') remove();
    else if (e.key in changes) alter(e.shiftKey ? sizing[e.key] : /** @type {keyof typeof changes} */ (e.key));
    else return;
    e.preventDefault();
  }

  /** @param {PointerEvent} e @returns {[number, number]} where it points, in parts of the picture */
  function point(e) {
    const r = img.getBoundingClientRect();
    return [between((e.clientX - r.left) / r.width, 0, 1), between((e.clientY - r.top) / r.height, 0, 1)];
  }

  stage.addEventListener('pointerdown', (e) => {
    if (e.target !== img && e.target !== stage) return; // a cover is chosen instead
    e.preventDefault();
    const [x, y] = point(e);
    /** @type {HTMLElement | undefined} */
    let box;
    stage.setPointerCapture(e.pointerId);
    stage.onpointermove = (m) => {
      const [u, v] = point(m);
      const c = { x: Math.min(x, u), y: Math.min(y, v), w: Math.abs(u - x), h: Math.abs(v - y) };
      if (c.w < least || c.h < least) return;
      box ??= put(c);
      Object.assign(laid.find((l) => l.box === box)?.cover ?? {}, c);
      show();
    };
    stage.onpointerup = stage.onpointercancel = () => { stage.onpointermove = null; box?.focus(); };
  });

  const adding = button(say.add, () => put({ x: 0.35, y: 0.4, w: 0.3, h: 0.2 }).focus());
  moves.append(adding, ...(/** @type {(keyof typeof changes)[]} */ (Object.keys(changes))).map((how) => {
    const b = button(say.sign[how], () => alter(how));
    b.setAttribute('aria-label', say.how[how]);
    return b;
  }), button(say.remove, remove));
  const done = button('', () => dialog.close('done'));
  done.className = 'main';
  ends.append(done, button(say.cancel, () => dialog.close()));
  document.body.append(dialog);
  show();
  dialog.showModal();
  return new Promise((give) => dialog.addEventListener('close', () => {
    dialog.remove();
    give(dialog.returnValue === 'done' ? laid.map((l) => l.cover) : null);
  }, { once: true }));
}
