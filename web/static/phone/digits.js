// @ts-check
// The digits of a release on the spot; decision/spot.go reckons the same.
import { hex } from '../ids.js';

const encoder = new TextEncoder();
/** @param {string} s */
const bytes = (s) => Uint8Array.from(s.match(/../g) ?? [], (x) => parseInt(x, 16));

/** @param {string} text as typed @param {number} n how many are wanted @returns {string} the digits alone, "" where there are not so many */
export const digitsOf = (text, n) => {
  const found = text.replace(/[\s.-]/g, '');
  return found.length === n && /^\d+$/.test(found) ? found : '';
};

/** @param {string} digits @returns {string} in threes, to be read out */
export const inThrees = (digits) => digits.replace(/(...)(?=.)/g, '$1 ');

/** @param {string} code twelve digits @param {number} by */
const turned = (code, by) => code.slice(0, 6) + String((Number(code.slice(6)) + by + 1_000_000) % 1_000_000).padStart(6, '0');

/** @param {string} code @param {string} number of the evidence @returns {string} what the releaser's phone shows */
export const shown = (code, number) => turned(code, Number(number));
/** @param {string} typed @param {string} number @returns {string} the code that was shown as typed */
export const codeOf = (typed, number) => turned(typed, -Number(number));

/** @param {{at: number, clock: number | null}} stamp @returns {string} its day in London by the server's clock as far as it is known, 2026-05-04 */
export const dayOf = ({ at, clock }) => new Date(at + (clock ?? 0)).toLocaleDateString('sv-SE', { timeZone: 'Europe/London' });

/** @typedef {{day: string, salt: string, rounds: number, check: string}} Check */

/** @param {string} code @param {Check} check @returns {Promise<boolean>} whether it is the code that the check was made from */
export async function fits(code, check) {
  const key = await crypto.subtle.importKey('raw', encoder.encode(code), 'PBKDF2', false, ['deriveBits']);
  const way = { name: 'PBKDF2', hash: 'SHA-256', salt: bytes(check.salt), iterations: check.rounds };
  return hex(await crypto.subtle.deriveBits(way, key, 256)) === check.check;
}

/** @param {string} code @param {string[]} of attempt, stage, day and the list's digest @returns {Promise<string>} what binds the code to them */
export async function macOf(code, of) {
  const key = await crypto.subtle.importKey('raw', encoder.encode(code), { name: 'HMAC', hash: 'SHA-256' }, false, ['sign']);
  return hex(await crypto.subtle.sign('HMAC', key, encoder.encode(of.join('|'))));
}

/** @typedef {{wrong: number, until: number}} Tries wrong ones in a row; not to be tried before, ms */

/** @param {Tries | undefined} tries @param {number} now @returns {Tries} after one more wrong one: the fifth asks for a minute's wait */
export function wrongAgain(tries, now) {
  const wrong = (tries?.wrong ?? 0) + 1;
  return wrong < 5 ? { wrong, until: 0 } : { wrong: 0, until: now + 60_000 };
}
