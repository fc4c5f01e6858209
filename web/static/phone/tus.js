// @ts-check
// Sends a file in pieces that can be taken up again (tus 1.0).
import { ask } from './ask.js';
import { chunk, leastChunk } from './rules.js';

/** @param {string} s */
const base64 = (s) => btoa(String.fromCharCode(...new TextEncoder().encode(s)));

/** @param {Record<string, unknown>} about */
const metadata = (about) => Object.entries(about).filter(([, v]) => v !== undefined && v !== null && v !== '')
  .map(([k, v]) => `${k} ${base64(String(v))}`).join(',');

let size = leastChunk * 4; // of the next chunk; the connection is the same for all files

/**
 * @param {import('./store.js').Kept & {blob: Blob}} file with its digest
 * @param {(offset: number) => void} acknowledged how many bytes the server has, whenever it says so and they are more
 * @returns {Promise<import('./send.js').Answer>} 200 only where the server named the digest of all that it has
 */
export async function upload(file, acknowledged) {
  const tus = { 'Tus-Resumable': '1.0.0' };
  let offset = -1;
  /** @param {Awaited<ReturnType<typeof ask>>} answer */
  function take(answer) {
    const now = Number(answer.headers.get('Upload-Offset') ?? file.size);
    if (now > Math.max(offset, 0)) acknowledged(now);
    offset = now;
    return answer.headers.get('Witnessmark-Received') === file.digest;
  }
  let answer = await ask('POST', '/uploads', {
    ...tus, 'Upload-Length': String(file.size),
    'Upload-Metadata': metadata({
      id: file.id, attempt: file.attempt, item: file.item, name: file.name, caption: file.caption, at: file.at, clock: file.clock,
      sent: Date.now(), digest: file.digest, covers: file.covers && JSON.stringify(file.covers),
    }),
  });
  if (answer.status !== 201) return answer;
  const address = answer.headers.get('Location') ?? '';
  while (!take(answer)) {
    if (offset >= file.size) return { ...answer, status: 503 }; // all is there and yet not acknowledged: from the start, later
    const [from, start] = [offset, performance.now()];
    const piece = file.blob.slice(from, from + size);
    try {
      answer = await ask('PATCH', address, { ...tus, 'Upload-Offset': String(from), 'Content-Type': 'application/offset+octet-stream' }, piece);
    } catch (trouble) {
      size = Math.max(leastChunk, size / 2);
      answer = await ask('HEAD', address, tus).catch(() => { throw trouble; });
      if (answer.status === 200 && Number(answer.headers.get('Upload-Offset')) <= from) throw trouble; // nothing came through
    }
    // The browser repeats by itself what it lost the answer to: the server has more than this page knows of.
    if (answer.status === 409) answer = await ask('HEAD', address, tus);
    if (answer.status === 204) size = chunk(piece.size, performance.now() - start);
    else if (answer.status !== 200) return { ...answer, status: [404, 410, 460].includes(answer.status) ? 503 : answer.status };
    else if (Number(answer.headers.get('Upload-Offset')) <= from) return { ...answer, status: 503 };
  }
  return { ...answer, status: 200 };
}
