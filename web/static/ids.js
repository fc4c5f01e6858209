// @ts-check
// Ids made where something is captured, so that the same thing sent twice is kept once, and bytes as they are written.

/** @param {ArrayBuffer | Uint8Array} bytes @returns {string} */
export const hex = (bytes) => Array.from(new Uint8Array(bytes), (x) => x.toString(16).padStart(2, '0')).join('');

/** @returns {string} a random UUID; pages on plain http have no crypto.randomUUID */
export function newID() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = (b[6] & 0x0f) | 0x40;
  b[8] = (b[8] & 0x3f) | 0x80;
  const h = hex(b);
  return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20)}`;
}
