// @ts-check
// Keeps photos and documents as they were taken until the server has named their digest, and shows them at once.
import { newID } from '../ids.js';
import { stamp } from './clock.js';
import { able, onChange, retry, tell, wake } from './queue.js';
import { sha256 } from './seal.js';
import { attempt, button, put, sheet } from './sheet.js';
import { all, bytesOf, change, tx } from './store.js';
import { say } from './words.js';

/** @typedef {import('./store.js').Kept} Kept */

/** @type {Promise<void> | undefined} */
let reckoning;

/** Gives memory back now: the next photo comes before the browser would look for what is no longer used. @param {ArrayBuffer} bytes */
function giveBack(bytes) {
  const { port1, port2 } = new MessageChannel();
  port2.close(); // nobody takes them
  port1.postMessage(bytes, [bytes]);
  port1.close();
}

/** @returns {Promise<void>} when every kept file has its digest; one is read at a time */
export const digests = () => reckoning ??= (async () => {
  for (let left = true; left;) {
    left = false;
    for (const { id } of (await all('file')).filter((f) => !f.digest && !f.trouble)) {
      left = true;
      /** @type {Partial<Kept>} */
      let found;
      try {
        const bytes = await (await bytesOf(id)).arrayBuffer();
        found = { digest: await sha256(bytes) };
        giveBack(bytes);
      } catch {
        found = { trouble: say.keep.unreadable };
      }
      await change('file', id, (row) => row && { ...row, ...found });
      tell();
      wake();
    }
  }
})().finally(() => { reckoning = undefined; });

/**
 * Keeps files for an item of the attempt ("instrument/UUID" for the label of an instrument).
 * @param {Iterable<File>} files
 * @param {{attempt: string, item: string, caption: string}} to
 * @param {string} title of the item
 * @returns {Promise<string>} which were not kept and why, in words; "" for none
 */
async function addFiles(files, to, title) {
  const now = stamp();
  /** @type {[File[], File[]]} */
  const [large, unread] = [[], []]; // after one that does not fit there may come one that does
  for (const file of files) {
    /** @type {Kept} */
    const row = {
      ...now, ...to, id: newID(), name: file.name, type: file.type, size: file.size, digest: '', state: 'kept',
      hold: sheet?.dataset.private !== undefined,
    };
    try {
      await tx(['file', 'blob'], 'readwrite', (store) => {
        store('file').put(row);
        store('blob').put(file, row.id);
      });
      document.dispatchEvent(new Event('kept'));
    } catch (trouble) {
      (/** @type {Error} */ (trouble)?.name === 'QuotaExceededError' ? large : unread).push(file);
    }
    tell();
  }
  void digests();
  return [large.length ? say.keep.noRoomFor(title, large) : '', ...unread.map((f) => `${f.name}: ${say.keep.unreadable}`)].join(' ').trim();
}

/** @param {Kept} row @param {() => Element} preview */
function listed(row, preview) {
  const li = document.createElement('li');
  const name = document.createElement('span');
  name.textContent = row.caption ? `${row.caption} (${row.name})` : row.name;
  const state = document.createElement('span');
  state.className = 'sent';
  const actions = document.createElement('span');
  actions.className = 'sent-actions';
  li.append(preview(), name, state, actions);
  li.dataset.file = row.id;
  return li;
}

/** A photo is in the page's memory only while it is in sight: twenty of them are more than a small phone has. */
const sight = able && new IntersectionObserver(async (seen) => {
  for (const { target, isIntersecting } of seen) {
    const img = /** @type {HTMLImageElement} */ (target);
    URL.revokeObjectURL(img.src);
    img.toggleAttribute('data-seen', isIntersecting);
    const blob = isIntersecting && await bytesOf(img.dataset.of ?? '');
    if (blob && img.dataset.seen !== undefined) img.src = URL.createObjectURL(blob);
    else img.removeAttribute('src');
  }
});

/** @param {Kept} row @returns {Element} upright, since browsers read how the camera was held */
function preview(row) {
  const img = document.createElement('img');
  img.alt = row.caption || row.name;
  img.decoding = 'async';
  img.onerror = () => {
    const none = document.createElement('span');
    none.className = 'soft';
    none.textContent = say.keep.noPreview;
    img.replaceWith(none);
    URL.revokeObjectURL(img.src);
  };
  img.dataset.of = row.id;
  if (sight) sight.observe(img);
  return img;
}

/** @param {Kept} row */
async function takeAway(row) {
  if (!confirm(say.keep.sureAway(row.name))) return;
  await change('file', row.id, (now) => (now?.state === 'kept' && !now.sealed ? null : undefined));
  tell();
}

/** @param {Kept} row @param {number | undefined} percent */
function stateOf(row, percent) {
  if (row.state === 'received') return say.keep.received(row.receivedAt ?? 0);
  if (row.trouble) return row.trouble;
  if (row.hold) return say.keep.uncovered;
  return percent === undefined ? say.keep.kept : say.keep.sending(percent);
}

/** @param {Kept} row @param {number | undefined} percent */
function actionsFor(row, percent) {
  /** @type {Node[]} */
  const out = [];
  if (row.state !== 'kept') return out;
  if (row.trouble) out.push(button(say.keep.tryAgain, () => retry('file', row.id).then(digests)));
  if (row.hold) out.push(button(say.keep.cover, async () => (await import(/** @type {string} */ ('./cover.js'))).cover(row.id)));
  if (!row.sealed && percent === undefined) {
    const away = button(say.keep.takeAway, () => takeAway(row));
    away.ariaLabel = `${say.keep.takeAway} ${row.name}`;
    out.push(away);
  }
  return out;
}

/** What the server shows, or could show by now, needs no second copy here. @param {Kept} row */
const shownByServer = (row) => row.state === 'received'
  && (document.querySelector(`a[href="/evidence/${row.id}"]`) || Number(document.body.dataset.drawn) > (row.receivedAt ?? 0) + 10_000);

/** @param {import('./queue.js').State} state of which only the progress changed */
function showProgress({ progress }) {
  for (const [id, percent] of Object.entries(progress)) put(document.querySelector(`.queue [data-file="${id}"] .sent`), '', say.keep.sending(percent));
}

/** @param {import('./queue.js').State} state */
async function show(state) {
  /** @type {Kept[]} */
  const rows = (await all('file')).filter((f) => f.attempt === attempt);
  for (const row of rows.filter((r) => !r.gone && shownByServer(r))) {
    await change('file', row.id, ({ blob, ...now }) => ({ ...now, gone: true }));
    row.gone = true;
  }
  for (const ul of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('form.upload .queue'))) {
    const item = /** @type {HTMLElement} */ (ul.closest('form')).dataset.item;
    const mine = rows.filter((r) => r.item === item && !r.gone).sort((a, b) => a.at - b.at);
    const there = new Map(Array.from(/** @type {HTMLCollectionOf<HTMLElement>} */ (ul.children), (li) => [li.dataset.file, li]));
    for (const row of mine) {
      const li = there.get(row.id) ?? listed(row, () => (/^image\/|^$/.test(row.type) ? preview(row) : document.createElement('span')));
      there.delete(row.id);
      if (!li.parentNode) ul.append(li);
      const percent = state.progress[row.id];
      const look = row.trouble ? 'bad' : row.state === 'received' ? 'good' : '';
      put(li.querySelector('.sent'), look, stateOf(row, percent));
      const key = `${row.state} ${row.trouble} ${row.hold} ${row.sealed} ${percent === undefined}`;
      if (li.dataset.may === key) continue;
      li.dataset.may = key;
      li.querySelector('.sent-actions')?.replaceChildren(...actionsFor(row, percent));
    }
    for (const li of there.values()) {
      const img = li.querySelector('img');
      if (img && sight) sight.unobserve(img);
      URL.revokeObjectURL(img?.src ?? '');
      li.remove();
    }
  }
  document.dispatchEvent(new Event('shown'));
}

/** @param {Event} event */
async function chosen(event) {
  const input = /** @type {HTMLInputElement} */ (event.target);
  const form = /** @type {HTMLFormElement | null} */ (input.closest('form.upload'));
  if (!form || input.type !== 'file' || !input.files?.length) return;
  const caption = /** @type {HTMLInputElement | null} */ (form.querySelector('[name=caption]'));
  const trouble = await addFiles(Array.from(input.files), { attempt, item: form.dataset.item ?? '', caption: caption?.value.trim() ?? '' },
    (form.closest('article')?.querySelector('h3') ?? form.querySelector('.take'))?.textContent?.trim() ?? '');
  input.value = '';
  if (caption && !trouble) caption.value = '';
  let place = form.querySelector('.nokeep');
  if (!place) form.append(place = Object.assign(document.createElement('p'), { className: 'nokeep', role: 'alert' }));
  place.textContent = trouble;
}

if (able && sheet) {
  document.addEventListener('change', (event) => void chosen(event));
  onChange((state) => void (state.moved ? showProgress(state) : show(state)));
  document.addEventListener('drawn', () => tell());
  void digests();
}
