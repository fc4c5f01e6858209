// @ts-check
// Lists of what is handed over and their digests; decision/seal.go reckons the same.
import { clean } from './rules.js';

/** @typedef {{id: string, kind: 'entry' | 'file', digest: string}} Listed */

/** @param {BufferSource} bytes @returns {Promise<string>} SHA-256 in hex */
export async function sha256(bytes) {
  return Array.from(new Uint8Array(await crypto.subtle.digest('SHA-256', bytes)), (b) => b.toString(16).padStart(2, '0')).join('');
}

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
