// @ts-check
// Sends what waits, one thing at a time, until nothing is left or nothing goes; knows no browser.
import { backOff, next } from './rules.js';

/** @typedef {import('./rules.js').Thing} Thing */
/** @typedef {{status: number, title?: string, at: number, sent?: any, body?: any}} Answer at: by the server's clock, ms */
/** @typedef {'idle' | 'sending' | 'waiting' | 'busy' | 'signed-out'} Mode busy: the server does not manage just now */

/**
 * @typedef {object} Outside
 * @property {() => Promise<Thing[]>} things what waits
 * @property {(batch: Thing[], acknowledged: () => void) => Promise<Answer>} carry sends it; throws where there is no connection
 * @property {(batch: Thing[], answer: Answer) => Promise<void>} received
 * @property {(batch: Thing[], change: {trouble?: string, alone?: boolean, tries?: number, notBefore?: number}) => Promise<void>} mark
 * @property {(mode: Mode) => void} tell
 * @property {() => number} now
 * @property {() => number} random
 */

/** @param {Outside} out */
export function sender(out) {
  let tries = 0; // in vain since a byte was last acknowledged
  let until = 0;
  const acknowledged = () => { tries = 0; };

  /** @param {Mode} mode @returns {number} ms */
  function wait(mode) {
    const ms = backOff(tries++, out.random());
    until = out.now() + ms;
    out.tell(mode);
    return ms;
  }

  /** @param {Thing[]} batch @returns {Promise<number | undefined>} ms to wait, undefined to go on */
  async function one(batch) {
    let answer;
    let further = false; // whether some of it came through
    try {
      answer = await out.carry(batch, () => {
        acknowledged();
        further = true;
      });
    } catch {
      return wait('waiting');
    }
    const { status, title } = answer;
    if (status === 401) {
      out.tell('signed-out');
      return Infinity;
    }
    if (status >= 500 || [408, 423, 425, 429].includes(status)) {
      const ms = wait('busy');
      for (const t of batch) {
        const before = further ? 0 : t.tries ?? 0;
        await out.mark([t], { tries: before + 1, notBefore: until + backOff(before, out.random()) }); // others first
      }
      return ms;
    }
    acknowledged();
    if (status < 300) await out.received(batch, answer);
    else if (batch.length > 1) await out.mark(batch, { alone: true }); // one of them is in the way of the others
    else await out.mark(batch, { trouble: title || `not taken (${status})` });
    return undefined;
  }

  return {
    /** There may be signal again. */
    again() { tries = 0; until = 0; },
    /** @returns {Promise<number>} after how many ms to call again, Infinity for never */
    async run() {
      for (;;) {
        const { batch, at } = next(await out.things(), out.now());
        if (!batch.length) {
          out.tell('idle');
          return at - out.now();
        }
        if (until > out.now()) return until - out.now();
        out.tell('sending');
        const ms = await one(batch);
        if (ms !== undefined) return ms;
      }
    },
  };
}
