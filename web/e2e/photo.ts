// Photos as a phone would make them, of any size: one small real picture, with comment segments (ITU-T T.81, B.2.4.5) that
// bring it to the size wanted and make each different from every other.
import { readFileSync } from 'node:fs';

const rig = readFileSync('rig.jpg'); // 320 × 240, drawn by a few lines of Go

/** A source of numbers in [0, 1) that is the same for the same seed (mulberry32, from memory). */
export function random(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** A JPEG of exactly so many bytes (at least the base's and four more), the same for the same seed. */
export function photo(bytes: number, seed: number, base: Buffer = rig): Buffer {
  const next = random(seed);
  const filler: Buffer[] = [];
  for (let left = bytes - base.length; left > 0;) {
    if (left < 4) throw new Error(`a photo of ${bytes} bytes cannot be made`);
    // A segment is its marker, its length and at most 65,533 bytes; none may leave a rest too small for another.
    let size = Math.min(left, 65_537);
    if (left - size > 0 && left - size < 4) size -= 4;
    const segment = Buffer.alloc(size);
    segment.writeUInt16BE(0xfffe, 0);
    segment.writeUInt16BE(size - 2, 2);
    for (let i = 4; i + 4 <= size; i += 4) segment.writeUInt32BE((next() * 2 ** 32) >>> 0, i);
    for (let i = size - (size % 4); i < size; i++) if (i >= 4) segment[i] = next() * 256;
    filler.push(segment);
    left -= size;
  }
  return Buffer.concat([base.subarray(0, 2), ...filler, base.subarray(2)]);
}

/** The same as a file for an input of a page. */
export const jpeg = (name: string, buffer: Buffer) => ({ name, mimeType: 'image/jpeg', buffer });
