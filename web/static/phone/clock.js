// @ts-check
// By how much the server's clock is ahead of this phone's, as last heard.
import { get, put } from './store.js';

/** @type {{offset: number, at: number} | undefined} */
let known;
/** @type {Promise<void> | undefined} */
let read;

/** @returns {Promise<void>} once what was heard on earlier pages is known */
export const ready = () => read ??= get('meta', 'clock').then((kept) => { known ??= kept; });

/** @returns {{at: number, clock: number | null}} now by this phone, ms, and how far the server is believed to be ahead, ms */
export const stamp = () => ({ at: Date.now(), clock: known?.offset ?? null });

/** @param {number} at @returns {number | null} how far the server was believed to be ahead at a moment by this phone, ms */
export const believed = (at) => (known && known.at <= at ? known.offset : null);

/** @returns {boolean} whether the server's clock was not heard of for ten minutes */
export const stale = () => !known || Math.abs(Date.now() - known.at) > 600_000;

/**
 * @param {Response} answer of the server itself, never one that was kept
 * @returns {number} the moment it was given, by the server's clock, ms
 */
export function heard(answer) {
  const server = Number(answer.headers.get('Witnessmark-Time')) || Date.parse(answer.headers.get('Date') ?? '');
  if (!server) return Date.now() + (known?.offset ?? 0);
  const offset = server - Date.now();
  if (!known || Math.abs(known.offset - offset) > 1000 || Date.now() - known.at > 60_000) {
    known = { offset, at: Date.now() };
    put('meta', known, 'clock').catch(() => {}); // known on this page all the same
  }
  return server;
}
