// The recorder stands between a phone and the server, keeps the list of what was acknowledged, and makes faults on the way.
// It runs in the test's process, which is neither the browser's nor the server's.
import { Agent, createServer, request, type IncomingHttpHeaders, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';
import { Ledger } from './ledger.js';

/** One request with its answer. */
export interface Seen {
  method: string;
  path: string; // without its query
  headers: IncomingHttpHeaders;
  body: Buffer; // empty for the bytes of uploads, which are not kept
  status: number; // 0 until it is answered
  answer: IncomingHttpHeaders;
}

/** What is to happen to a request instead of passing it on. */
export type Fault =
  | { kind: 'drop' } // it never arrives
  | { kind: 'mute' } // it arrives, the answer does not
  | { kind: 'cut'; after: number } // so many bytes of its body arrive
  | { kind: 'flip'; at: number } // one bit of its body's byte at that offset turns
  | { kind: 'hang' } // nothing ever answers
  | { kind: 'delay'; ms: number }
  | { kind: 'twice' } // it arrives twice, one after the other
  | { kind: 'answer'; status: number; headers?: Record<string, string>; body?: string } // the server never sees it
  | { kind: 'rewrite'; body: (text: string) => string }; // the answer's text is another

/** Says what happens to a request, undefined to leave it alone. */
export type Trouble = (seen: Seen) => Fault | undefined;

export class Recorder {
  readonly ledger = new Ledger();
  readonly log: Seen[] = [];
  /** Asked in order for each request; the first that makes a fault wins. */
  troubles: Trouble[] = [];
  /** Whether nothing is to be reached at all. */
  down = false;
  /** Bytes of uploads that went by so far, and at which counts the connection is cut. */
  passed = 0;
  cuts: number[] = [];
  made = 0; // faults made so far

  private sockets = new Set<Socket>();
  private agent = new Agent({ keepAlive: true, maxSockets: 20, localAddress: `127.0.${100 + (process.pid % 100)}.${1 + Math.floor(Math.random() * 250)}` });

  private constructor(private server: Server, private upstream: number) {}

  /** Starts one in front of the server on that port of this machine. */
  static async before(upstream: number): Promise<Recorder> {
    const server = createServer({ requestTimeout: 0, keepAliveTimeout: 60_000 });
    const r = new Recorder(server, upstream);
    server.on('connection', (socket) => {
      if (r.down) return void socket.destroy();
      r.sockets.add(socket);
      socket.on('close', () => r.sockets.delete(socket));
    });
    server.on('request', (req, res) => void r.pass(req, res).catch(() => req.socket.destroy()));
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    return r;
  }

  get port(): number { return (this.server.address() as AddressInfo).port; }
  get origin(): string { return `http://127.0.0.1:${this.port}`; }

  /** Stands before another server from now on. */
  to(upstream: number) { this.upstream = upstream; }

  /** Breaks every connection that is open. */
  break() { for (const s of this.sockets) s.destroy(); }

  async close() {
    this.break();
    this.agent.destroy();
    await new Promise((done) => this.server.close(done));
  }

  /** Adds a fault that is made for the next so many requests which fit, and calls done for each. */
  next(fits: (seen: Seen) => boolean, fault: Fault, times = 1): { left: number } {
    const count = { left: times };
    this.troubles.push((seen) => (count.left > 0 && fits(seen) ? (count.left--, fault) : undefined));
    return count;
  }

  private trouble(seen: Seen): Fault | undefined {
    for (const t of this.troubles) {
      const fault = t(seen);
      if (fault) return fault;
    }
    return undefined;
  }

  private async pass(req: IncomingMessage, res: ServerResponse): Promise<void> {
    const path = new URL(req.url!, 'http://phone').pathname;
    const seen: Seen = { method: req.method!, path, headers: req.headers, body: Buffer.alloc(0), status: 0, answer: {} };
    const bytes = seen.method === 'PATCH';
    if (!bytes) seen.body = await whole(req);
    this.log.push(seen);
    const fault = this.trouble(seen);
    if (fault) this.made++;
    const piece = bytes ? this.ledger.piece(seen) : undefined;
    if (piece && fault && fault.kind !== 'delay') piece.cut = true;
    res.on('close', () => { if (piece && !res.writableFinished) piece.cut = true; });
    if (this.down || fault?.kind === 'drop') return void req.socket.destroy();
    if (fault?.kind === 'hang') return;
    if (fault?.kind === 'delay') await new Promise((done) => setTimeout(done, fault.ms));
    if (fault?.kind === 'answer') {
      req.resume();
      return this.finish(seen, res, fault.status, fault.headers ?? {}, fault.body ?? '');
    }
    if (fault?.kind === 'twice') {
      if (bytes) seen.body = await whole(req); // it comes once only
      await this.forward(req, seen).then(drained);
    }
    const answer = await this.forward(req, seen, fault, piece);
    if (fault?.kind === 'mute') {
      await drained(answer);
      return void req.socket.destroy();
    }
    if (fault?.kind === 'rewrite') {
      const { 'content-length': _, etag: __, ...headers } = answer.headers;
      return this.finish(seen, res, answer.statusCode!, headers, fault.body((await whole(answer)).toString()));
    }
    res.writeHead(answer.statusCode!, answer.rawHeaders);
    answer.on('error', () => req.socket.destroy());
    answer.pipe(res);
    res.on('finish', () => this.finished(seen, answer.statusCode!, answer.headers));
  }

  private finish(seen: Seen, res: ServerResponse, status: number, headers: IncomingHttpHeaders, body: string) {
    res.writeHead(status, headers as Record<string, string>);
    res.end(body, () => this.finished(seen, status, headers));
  }

  private finished(seen: Seen, status: number, headers: IncomingHttpHeaders) {
    seen.status = status;
    seen.answer = headers;
    this.ledger.answered(seen);
  }

  /** Sends the request on, its bytes as they come. */
  private forward(req: IncomingMessage, seen: Seen, fault?: Fault, piece?: { sent: number; cut: boolean }): Promise<IncomingMessage> {
    const headers = { ...req.headers };
    if (fault?.kind === 'rewrite') for (const h of ['accept-encoding', 'if-none-match', 'if-modified-since']) delete headers[h];
    return new Promise((done, failed) => {
      const up = request({ host: '127.0.0.1', port: this.upstream, method: req.method, path: req.url, headers, agent: this.agent }, done);
      up.on('error', failed);
      if (seen.method !== 'PATCH' || seen.body.length) return void up.end(seen.body.length ? seen.body : undefined);
      let sent = 0;
      const stop = () => { up.destroy(); req.socket.destroy(); failed(new Error('cut')); };
      req.on('close', () => { if (!req.complete) stop(); });
      req.on('data', (part: Buffer) => {
        let most = part.length;
        if (fault?.kind === 'cut') most = Math.min(most, fault.after - sent);
        if (this.cuts.length > 0) most = Math.min(most, this.cuts[0] - this.passed);
        const at = fault?.kind === 'flip' ? fault.at - sent : -1;
        if (at >= 0 && at < part.length) part[at] ^= 1;
        up.write(part.subarray(0, Math.max(0, most)));
        sent += most;
        this.passed += most;
        if (most === part.length) return;
        if (this.cuts[0] === this.passed) this.cuts.shift();
        if (piece) Object.assign(piece, { cut: true, sent });
        // What was written is to arrive before the cut.
        setTimeout(stop, 5);
        req.removeAllListeners('data');
      });
      req.on('end', () => up.end());
    });
  }
}

async function whole(m: IncomingMessage): Promise<Buffer> {
  const parts: Buffer[] = [];
  for await (const part of m) parts.push(part as Buffer);
  return Buffer.concat(parts);
}

async function drained(m: IncomingMessage): Promise<void> { await whole(m); }
