// @ts-check
// What the queue goes by, without a browser: order, back-off, sizes, and how what is kept meets what the page shows.

/** @typedef {import('./store.js').Line} Line */
/** @typedef {import('./store.js').Waiting & {kind: 'call' | 'line' | 'file', ref?: string, hold?: boolean, other?: string, alone?: boolean}} Thing */

/**
 * What is sent of a line. A unit alone says nothing.
 * @param {Pick<Line, 'item' | 'part' | 'phase' | 'text' | 'unit' | 'working'>} l
 */
export function clean(l) {
  const text = l.text.trim();
  const working = l.working.replaceAll('\r\n', '\n').trim();
  return { item: l.item, part: l.part, phase: l.phase, text, unit: text || working ? l.unit.trim() : '', working };
}

/** @param {Pick<Line, 'text' | 'unit' | 'working'>} l @returns {string} what stands in a line, to be compared */
export function values(l) {
  const { text, unit, working } = clean({ item: '', part: '', phase: '', ...l });
  return JSON.stringify([text, unit, working]);
}

/** @param {string} v from `values` @returns {string} the same for a person */
export function words(v) {
  const [text, unit, working] = JSON.parse(v);
  return [`${text} ${unit}`.trim(), working].filter(Boolean).join(', ');
}

/** Messages that others rest on go first, then what is typed, then that it was handed over, photos last. @param {Thing} t */
const rank = (t) => (t.kind === 'line' ? 1 : t.kind === 'file' ? 3 : t.ref === 'hand-over' ? 2 : 0);

const most = 100; // lines in one request

/**
 * What to send now: one thing, or the lines of one attempt. Of one item nothing overtakes; what waits for a person holds up
 * nothing.
 * @template {Thing} T
 * @param {T[]} things @param {number} now
 * @returns {{batch: T[], at: number}} at: when to look again, Infinity for never
 */
export function next(things, now) {
  const late = new Set();
  let at = Infinity;
  /** @type {T[]} */
  const batch = [];
  for (const t of things.toSorted((a, b) => rank(a) - rank(b) || a.at - b.at)) {
    const place = `${t.attempt} ${t.item}`;
    if (t.trouble || t.hold || t.other || late.has(place)) continue;
    if ((t.notBefore ?? 0) > now) {
      late.add(place);
      at = Math.min(at, t.notBefore ?? 0);
    } else if (!batch.length) {
      batch.push(t);
    } else if (t.kind === 'line' && !t.alone && batch[0].kind === 'line' && !batch[0].alone && t.attempt === batch[0].attempt && batch.length < most) {
      batch.push(t);
    }
  }
  return { batch, at };
}

/** @param {number} tries in vain so far @param {number} random in [0, 1) @returns {number} how long to wait, ms */
export const backOff = (tries, random) => Math.min(60_000, 1000 * 2 ** tries) * (0.5 + random / 2);

const aim = 2000; // ms for a chunk
export const leastChunk = 64 << 10;
export const mostChunk = 4 << 20;

/** @param {number} size of the last chunk, bytes @param {number} took ms @returns {number} the size of the next */
export const chunk = (size, took) => Math.floor(Math.max(leastChunk, Math.min(mostChunk, size * 4, (size * aim) / Math.max(took, 1))));

/** A page may have been drawn from what was read just before something was received, ms. */
const slack = 10_000;

/**
 * What a line shows. Kept and not received wins over the page; received after the page was drawn wins over the page.
 * @param {Line | undefined} row
 * @param {string} page what the page shows, from `values`
 * @param {number} drawn when, by the server, ms
 * @returns {{show: 'row' | 'page', other?: string}} other: what stands elsewhere instead, to be said
 */
export function merge(row, page, drawn) {
  if (!row) return { show: 'page' };
  const mine = values(row);
  if (row.state === 'received') {
    if (page === mine || drawn <= (row.receivedAt ?? 0) + slack) return { show: 'row' };
    return { show: 'page', other: mine };
  }
  if (row.other && row.other !== page && row.other !== mine) return { show: 'row', other: row.other }; // typed here twice
  const seen = page === mine || (row.known ?? [page]).includes(page) || drawn <= (row.knownAt ?? 0) + slack;
  return seen ? { show: 'row' } : { show: 'row', other: page };
}

const setBack = 120_000; // ms: decision.ClockSlack, within which the centre takes two times to be of one clock

/** A clock that was set back a little must not have what is typed over a line look older than that. @param {number} at @param {number} [before] when what stood there was typed */
const after = (at, before = 0) => (before >= at && before - at < setBack ? before + 1 : at);

/**
 * What becomes of a line's row when something is typed; null for nothing to keep. What may have been received already keeps
 * its id to itself.
 * @param {Line | undefined} row
 * @param {Pick<Line, 'attempt' | 'line' | 'item' | 'part' | 'phase' | 'text' | 'unit' | 'working' | 'note' | 'instrument' | 'at' | 'clock'>} now
 * @param {string} page
 * @param {() => string} newID
 * @returns {Line | null}
 */
export function typed(row, now, page, newID) {
  const was = row && (row.state === 'received' ? { known: [values(row)], knownAt: row.receivedAt } : row);
  const known = was?.known ?? [page];
  const used = !row || row.state === 'received' || row.tried || row.sealed || !row.id;
  if ((!row || !used) && !was?.knownAt && known.length === 1 && values(now) === known[0]) return null; // as it stood there
  return {
    ...now, at: after(now.at, row?.at), id: used ? newID() : row.id, state: 'kept', known, knownAt: was?.knownAt, other: row?.state === 'kept' ? row.other : undefined,
  };
}

/**
 * A row that was made before the queue was here, put in the place of what was kept before; where that was not sent, the
 * person says which it is to be.
 * @param {Line} row
 * @param {string | undefined} page undefined where it is not at hand
 * @param {() => string} newID
 * @param {number | null} [clock] by how much the server's clock was believed to be ahead then
 * @returns {Line}
 */
export function adopted(row, page, newID, clock = null) {
  const { before, early, ...now } = row;
  const open = before?.state === 'kept' && values(before) !== values(now);
  const drawn = page === undefined ? [] : [page];
  const known = open ? [...(before.known ?? []), ...drawn, values(before)] : page === undefined ? undefined : drawn;
  return {
    ...now, clock, note: now.note ?? '', known, ...(before?.state === 'received' && { known: [values(before)], knownAt: before.receivedAt }),
    id: newID(), state: 'kept', ...(open && { other: values(before) }),
  };
}

/**
 * @param {{files: number, have: number, lines: string[]}} item how many files it asks for and how many are there, and what its lines say
 * @returns {boolean} whether what is required is there
 */
export const done = (item) => item.have >= item.files && item.lines.every((text) => text.trim() !== '');
