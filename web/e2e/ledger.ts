// What a server has acknowledged towards a phone, kept by neither of them: an append-only list made by the recorder, which
// stands between the two.
import type { Seen } from './recorder.js';

export type Acknowledged =
  | { kind: 'entry'; attempt: string; id: string; item: string; part: string; phase: string; text: string; unit: string; working: string }
  | { kind: 'file'; attempt: string; id: string; item: string; digest: string }
  | { kind: 'seal'; attempt: string; id: string; items: { id: string; kind: string; digest: string }[] }
  | { kind: 'call'; path: string; id: string };

interface Upload { attempt: string; id: string; item: string; chunks: Chunk[] }

/** One piece of a photo as the phone sent it: how long it was to be, how much of it came this far, and whether it or its
 * answer was not left to arrive. */
interface Chunk { offset: number; length: number; sent: number; cut: boolean }

/** The list, and the pieces in which each upload went by. */
export class Ledger {
  readonly all: Acknowledged[] = [];
  private uploads = new Map<string, Upload>();
  private byPhoto = new Map<string, Upload>();

  /** Everything of one kind. */
  of<K extends Acknowledged['kind']>(kind: K) { return this.all.filter((a): a is Extract<Acknowledged, { kind: K }> => a.kind === kind); }

  /** The pieces of a photo in the order in which the phone sent them, by the photo's id. */
  chunks(id: string): Chunk[] { return this.byPhoto.get(id)?.chunks ?? []; }

  /** How many bytes of a photo were sent again beyond one piece for each cut. (Chromium itself repeats a request whose
   * connection, used before, breaks without an answer; the server refuses such a piece, and it is the one.) */
  again(id: string): number {
    const all = this.chunks(id);
    const size = Math.max(0, ...all.map((c) => c.offset + c.length));
    const sent = all.reduce((n, c) => n + c.sent, 0);
    return Math.max(0, sent - size - all.filter((c) => c.cut).reduce((n, c) => n + c.length, 0));
  }

  /** Notes a piece of an upload as the phone sends it. */
  piece(seen: Seen): Chunk {
    const length = Number(seen.headers['content-length']);
    const c = { offset: Number(seen.headers['upload-offset']), length, sent: length, cut: false };
    this.uploads.get(seen.path)?.chunks.push(c);
    return c;
  }

  /** Notes an answer that has gone out to the phone in full. What does not say the server's time is no answer of the server. */
  answered(seen: Seen) {
    if (seen.status < 200 || seen.status > 299 || !seen.answer['witnessmark-time']) return;
    const api = /^\/api\/attempts\/([^/]+)\/(.+)$/.exec(seen.path);
    if (seen.method === 'POST' && api) this.call(seen, api[1], api[2]);
    if (seen.path.startsWith('/uploads')) this.upload(seen);
  }

  private call(seen: Seen, attempt: string, what: string) {
    const body = JSON.parse(seen.body.toString() || '{}');
    for (const e of body.entries ?? []) {
      this.all.push({ kind: 'entry', attempt, id: e.id, item: e.item, part: e.part ?? '', phase: e.phase ?? '', text: e.text, unit: e.unit ?? '', working: e.working ?? '' });
    }
    if (what === 'hand-over' && body.seal) this.all.push({ kind: 'seal', attempt, id: body.seal.id, items: body.seal.items });
    if (what !== 'entries' && what !== 'hand-over') this.all.push({ kind: 'call', path: seen.path, id: body.id ?? '' });
  }

  private upload(seen: Seen) {
    let u = this.uploads.get(seen.path);
    if (seen.method === 'POST') {
      const said = metadata(String(seen.headers['upload-metadata'] ?? ''));
      const at = new URL(String(seen.answer.location), 'http://phone').pathname;
      u = this.byPhoto.get(said.id) ?? { attempt: said.attempt, id: said.id, item: said.item, chunks: [] };
      this.uploads.set(at, u);
      this.byPhoto.set(said.id, u);
    }
    const received = seen.answer['witnessmark-received'];
    if (!u || !received) return;
    this.all.push({ kind: 'file', attempt: u.attempt, id: u.id, item: u.item, digest: String(received) });
  }
}

/** Reads tus metadata: pairs with commas between, each a key and its value in base64. */
function metadata(header: string): Record<string, string> {
  return Object.fromEntries(header.split(',').map((pair) => {
    const [key, value = ''] = pair.trim().split(' ');
    return [key, Buffer.from(value, 'base64').toString()];
  }));
}
