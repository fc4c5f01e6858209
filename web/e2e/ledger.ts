// What a server has acknowledged towards a phone, kept by neither of them: an append-only list made by the recorder, which
// stands between the two.
import type { Seen } from './recorder.js';

export type Acknowledged =
  | { kind: 'entry'; attempt: string; id: string; item: string; part: string; phase: string; text: string; unit: string; working: string }
  | { kind: 'file'; attempt: string; id: string; item: string; digest: string }
  | { kind: 'seal'; attempt: string; id: string; items: { id: string; kind: string; digest: string }[] }
  | { kind: 'call'; path: string; id: string };

interface Upload { attempt: string; id: string; item: string; size: number; digest: string; sent: number }

/** The list, and how many bytes of each upload went by. */
export class Ledger {
  readonly all: Acknowledged[] = [];
  private uploads = new Map<string, Upload>();
  private byPhoto = new Map<string, Upload>();

  /** Everything of one kind. */
  of<K extends Acknowledged['kind']>(kind: K) { return this.all.filter((a): a is Extract<Acknowledged, { kind: K }> => a.kind === kind); }

  /** Bytes that were sent more than once, by the photo's id. */
  again(id: string): number {
    const u = this.byPhoto.get(id);
    return u ? u.sent - u.size : 0;
  }

  /** Notes bytes of an upload as they go by, acknowledged or not. */
  passed(path: string, bytes: number) {
    const u = this.uploads.get(path);
    if (u) u.sent += bytes;
  }

  /** Notes an answer that has gone out to the phone in full. */
  answered(seen: Seen) {
    if (seen.status < 200 || seen.status > 299) return;
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
      u = this.byPhoto.get(said.id) ?? { attempt: said.attempt, id: said.id, item: said.item, size: Number(seen.headers['upload-length']), digest: said.digest, sent: 0 };
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
