// @ts-check
// Lists of what is handed over and their digests; decision/seal.go reckons the same.
import { hex } from '../ids.js';
import { clean } from './rules.js';

/** @typedef {{id: string, kind: 'entry' | 'file', digest: string}} Listed */

/** @param {BufferSource} bytes @returns {Promise<string>} SHA-256 in hex */
export const sha256 = async (bytes) => hex(await crypto.subtle.digest('SHA-256', bytes));

/** @param {string} text */
const ofText = (text) => sha256(new TextEncoder().encode(text));

/** @param {Parameters<typeof clean>[0]} line */
export function entryDigest(line) {
  const l = clean(line);
  return ofText([l.item, l.part, l.phase, l.text, l.unit, l.working].join('\u001f'));
}

/** @param {Pick<Listed, 'id' | 'digest'>[]} items */
export const listDigest = (items) => ofText(items.map((i) => `${i.id} ${i.digest}\n`).sort().join(''));

/** @param {string} digest of a list @returns {string} six digits that stand for it */
export const evidenceNumber = (digest) => String(parseInt(digest.slice(0, 8), 16) % 1_000_000).padStart(6, '0');
