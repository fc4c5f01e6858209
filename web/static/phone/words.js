// @ts-check
// Every word that scripts show to people, in one place, so that another language can follow. Grouped by part.

/** @param {number} ms @returns {string} a time of the day in London, "14:05" */
const time = (ms) => new Date(ms).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit', timeZone: 'Europe/London' });
/** @param {number} n @param {string} one @param {string} many */
const count = (n, one, many) => `${n} ${n === 1 ? one : many}`;

export const say = {
  // What this phone keeps for whoever is signed in, and signing out.
  room: {
    plain: 'This page came without https, so it does not open again without signal: keep it open until all is received.',
    before: 'What you put down is kept on this phone until it is received.',
    promised: 'This phone has promised to keep what you put down here until it is received.',
    mayClear: 'This phone may clear what is kept here when it is full: let it be received soon.',
    left: (/** @type {number} */ mb) => `There is room for ${mb} MB more.`,
  },
  leave: {
    title: 'Some of this is on this phone only',
    waiting: (/** @type {number} */ lines, /** @type {number} */ files, /** @type {number} */ others, /** @type {string} */ name) =>
      `Not received yet: ${[lines && count(lines, 'line', 'lines'), files && count(files, 'photo', 'photos'), others && count(others, 'message', 'messages')].filter(Boolean).join(', ')}. If you sign out, this stays here under the name of ${name}. Nobody else sees it, and it goes when ${name} signs in on this phone again.`,
    stay: 'Stay signed in',
    go: 'Sign out all the same',
  },

  // Lines and photos: kept, sent, received.
  keep: {
    checking: 'checking',
    kept: 'kept on this phone',
    sending: (/** @type {number} */ percent) => `sending ${percent} %`,
    received: (/** @type {number} */ ms) => `received ${time(ms)}`,
    allReceived: 'Everything here is received.',
    waits: (/** @type {number} */ n) => `${count(n, 'thing', 'things')} kept on this phone, waiting for signal.`,
    sends: (/** @type {number} */ n) => `${count(n, 'thing', 'things')} kept on this phone, being sent.`,
    busy: (/** @type {number} */ n) => `${count(n, 'thing', 'things')} kept on this phone. The centre cannot take them just now; they are sent when it can.`,
    signIn: (/** @type {number} */ n) => `${count(n, 'thing', 'things')} kept on this phone. Sign in again to send them: `,
    signInHere: 'sign in',
    troubles: (/** @type {number} */ n) => `${count(n, 'thing was', 'things were')} not taken: see beside them. They are kept on this phone.`,
    tryAgain: 'Try again',
    cannotKeep: 'This phone keeps nothing for this page, so only what you send with the buttons is safe.',
    noRoom: 'Not kept: this phone has no room left. Take away films or programs that you can do without, then type this again.',
    noRoomFor: (/** @type {string} */ title, /** @type {{name: string, size: number}[]} */ files) =>
      `Not kept for “${title}”: ${files.map((f) => `${f.name} (${Math.ceil(f.size / 1e6)} MB)`).join(', ')}. This phone has no room left. Take away films or programs that you can do without, or let what waits here be received, then choose ${files.length > 1 ? 'them' : 'it'} again.`,
    notKept: 'Not kept on this phone. Load the page again, then type or choose this again.',
    unreadable: 'This file could not be read. Choose it again.',

    // A line that says something else at the centre, or was typed in two places.
    elsewhere: (/** @type {string} */ other) => `Changed elsewhere meanwhile: “${other || 'nothing'}”. Yours is kept on this phone and not sent.`,
    mine: 'Send mine',
    theirs: 'Take the other',
    replaced: (/** @type {string} */ mine) => `Changed elsewhere since. From here was sent: “${mine || 'nothing'}”.`,

    // Photos.
    noPreview: 'no preview on this phone',
    takeAway: 'Take away',
    sureAway: (/** @type {string} */ name) => `Take ${name} away? It is only on this phone.`,
    cover: 'Cover over and send',
    uncovered: 'kept on this phone, not sent before it is covered over',
  },

  // Handing over.
  hand: {
    there: 'there',
    toDo: 'still to do',
    nothing: 'nothing here yet',
    readyOf: (/** @type {number} */ n, /** @type {number} */ m) => `${n} of ${m} items are there.`,
    shortOf: (/** @type {number} */ n, /** @type {number} */ m) => `${n} of ${m} there`,
    missing: 'Still missing:',
    allThere: 'Everything that is asked for is there.',
    next: (/** @type {string} */ title) => `Next to do: ${title}`,
    toHandOver: 'To handing over',
    again: 'Hand over again',
    mustOwn: 'Tick that this is your own work before you hand over.',
    mustHave: 'Not handed over: some things are still missing.',
    notSealed: 'Not handed over: this phone could not seal the list. Load the page again and try once more; all is kept.',
    sealed: (/** @type {number} */ at, /** @type {number} */ n, /** @type {number} */ m) => `Handed over on this phone at ${time(at)}, waiting for signal: ${n} of ${m} received.`,
    sealedSent: (/** @type {number} */ at, /** @type {number} */ n, /** @type {number} */ m) => `Handed over on this phone at ${time(at)}: ${n} of ${m} received.`,
    inSet: 'handed over',
    late: 'not in what you handed over: your tutor decides whether it is taken in',
  },

  // Keys that a phone's keyboard hides, by their sign, and the instrument in hand.
  keys: /** @type {Record<string, string>} */ ({
    working: 'Signs for the working', number: 'Keys for the number', '×': 'times', '÷': 'divided by', '−': 'minus', '²': 'squared', '√': 'square root of',
    '(': 'open bracket', ')': 'close bracket', π: 'pi', Δ: 'delta', '=': 'equals', '.': 'decimal point', ',': 'comma', '×10^': 'times ten to the power of',
    '>': 'out of range of the instrument: more than', '<': 'out of range of the instrument: less than',
  }),
  inHand: (/** @type {string} */ serial, /** @type {string} */ due) => `serial ${serial}, ${due ? `calibration due ${new Date(due).toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' })}` : 'no date of calibration'}`,

  // Releases on the spot.
  spot: {
    claimed: (/** @type {number} */ ms) => `Released on the spot at ${time(ms)}, not yet confirmed: it counts when the record of whoever released it has come.`,
    given: (/** @type {number} */ ms) => `Released at ${time(ms)}. It counts when both phones have had signal. Read out the digits:`,
    confirmed: (/** @type {number} */ ms) => `Released on the spot at ${time(ms)}: confirmed.`,
    refused: (/** @type {string} */ why) => `This release does not count. ${why}`,
    twelve: 'Type the twelve digits that the other phone shows.',
    six: 'Type the six digits of the evidence number that the trainee\'s phone shows.',
    wrong: 'These digits do not fit. Compare the evidence number on both phones, then read them out once more.',
    wait: 'Five times wrong: this waits for a minute. Compare the evidence number on both phones meanwhile.',
    noDay: 'This page has no digits for today. It has to be opened with signal on the day or the day before: use a numbered paper tag, and put its number down.',
  },
};
