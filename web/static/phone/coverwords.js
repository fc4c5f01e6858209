// @ts-check
// The words of words.js that only covering needs, so that no other page waits for them.

/** @param {number} n @param {string} one @param {string} many */
const count = (n, one, many) => `${n} ${n === 1 ? one : many}`;

export const cover = {
  title: 'Cover over',
  what: 'Cover faces, post, medicines, keys and alarm panels. Drag over each, or add a cover and move it with the buttons.',
  picture: 'The photo to be covered',
  unseen: 'This phone cannot show this kind of picture, so nothing can be covered here. It is sent as it is, and nobody outside the centre sees it.',
  nth: (/** @type {number} */ n, /** @type {number} */ m) => `Cover ${n} of ${m}. Arrows move it, with shift they size it, Delete takes it away.`,
  count: (/** @type {number} */ n) => (n ? `${count(n, 'part is', 'parts are')} covered.` : 'Nothing is covered yet.'),
  add: 'Add a cover',
  remove: 'Take it away',
  cancel: 'Not now',
  nothing: 'Nothing to cover: send it',
  send: (/** @type {number} */ n) => `Send with ${count(n, 'part', 'parts')} covered`,
  keep: (/** @type {number} */ n) => `Keep ${count(n, 'cover', 'covers')}`,
  sign: { ArrowLeft: '←', ArrowRight: '→', ArrowUp: '↑', ArrowDown: '↓', wider: 'wider', narrower: 'narrower', taller: 'taller', lower: 'lower' },
  how: {
    ArrowLeft: 'Move the cover left', ArrowRight: 'Move the cover right', ArrowUp: 'Move the cover up', ArrowDown: 'Move the cover down',
    wider: 'Make the cover wider', narrower: 'Make the cover narrower', taller: 'Make the cover taller', lower: 'Make the cover lower',
  },
};
