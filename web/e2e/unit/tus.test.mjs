// The client of uploads against a server that does what the protocol says (tus.io, resumable upload 1.0), and to requests
// what a test tells it.
import assert from 'node:assert/strict';
import { createHash, randomBytes } from 'node:crypto';
import { test } from 'node:test';

// The modules belong to a page; what they need of it here.
globalThis.document = /** @type {any} */ ({ documentElement: { dataset: { person: 'p' } }, addEventListener() {}, querySelectorAll: () => [], dispatchEvent() {} });
const { upload } = await import('../../static/phone/tus.js');

const sha = (b) => createHash('sha256').update(b).digest('hex');

class Server {
  bytes = Buffer.alloc(0);
  log = [];
  /** @type {((method: string, n: number) => string | undefined)} */
  will = () => undefined;
  count = {};
  known = false;
  constructor(file) {
    this.file = file;
    globalThis.fetch = async (address, init) => this.answer(String(address), init);
  }
  async answer(address, { method, headers, body }) {
    const n = this.count[method] = (this.count[method] ?? 0) + 1;
    const what = this.will(method, n);
    const piece = method === 'PATCH' ? Buffer.from(await body.arrayBuffer()) : Buffer.alloc(0);
    this.log.push(method === 'PATCH' ? `PATCH ${headers['Upload-Offset']}+${piece.length}` : method);
    if (what === 'dropped') throw new TypeError('no connection');
    if (what === 'portal') return new Response('<p>Welcome to our network</p>', { status: 200 });
    let status = { POST: 201, HEAD: 200, PATCH: 204 }[method];
    if (method === 'POST') {
      const about = Object.fromEntries(headers['Upload-Metadata'].split(',').map((m) => m.split(' ')).map(([k, v]) => [k, Buffer.from(v, 'base64').toString()]));
      this.about = about;
      this.known = true;
    } else assert.equal(address, '/uploads/made-by-the-server');
    if (method === 'PATCH') {
      assert.equal(headers['Content-Type'], 'application/offset+octet-stream');
      if (Number(headers['Upload-Offset']) !== this.bytes.length) status = 409;
      else this.bytes = Buffer.concat([this.bytes, what === 'cut' ? piece.subarray(0, piece.length / 3) : piece]);
      if (what === 'flipped') this.bytes[5] ^= 1;
      if (what === 'cut' || what === 'answer lost') throw new TypeError('cut');
    }
    const whole = this.bytes.length === this.file.size;
    if (whole && sha(this.bytes) !== this.file.digest) {
      this.bytes = Buffer.alloc(0);
      status = 460;
    }
    return new Response(status === 204 ? null : '', { status, headers: {
      'Witnessmark-Time': String(Date.now()), 'Upload-Offset': String(this.bytes.length),
      ...(method === 'POST' && { Location: '/uploads/made-by-the-server' }),
      ...(whole && status !== 460 && { 'Witnessmark-Received': sha(this.bytes) }),
    } });
  }
}

function world(size) {
  const bytes = randomBytes(size);
  const file = { id: 'f', attempt: 'a', item: 'rig', name: 'Rücklauf.jpg', caption: '', at: 5, clock: null, digest: sha(bytes), size, blob: new Blob([bytes]) };
  const server = new Server(file);
  const heard = [];
  return { bytes, file, server, heard, send: () => upload(file, (offset) => heard.push(offset)) };
}

test('a file goes in pieces, and is received when the server names its digest', async () => {
  const { bytes, server, heard, send } = world(3_000_000);
  assert.equal((await send()).status, 200);
  assert.ok(server.bytes.equals(bytes));
  assert.ok(server.count.PATCH > 1 && !server.count.HEAD);
  assert.equal(heard.at(-1), 3_000_000);
  assert.deepEqual(heard, heard.toSorted((a, b) => a - b));
  const { sent, ...about } = server.about;
  assert.deepEqual(about, { id: 'f', attempt: 'a', item: 'rig', name: 'Rücklauf.jpg', at: '5', digest: sha(bytes) }, 'what is not known is left out');
  assert.ok(Math.abs(Number(sent) - Date.now()) < 60_000);
});

test('what the server has already is not sent again', async () => {
  const { bytes, server, send } = world(300_000);
  server.bytes = bytes.subarray(0, 200_000);
  assert.equal((await send()).status, 200);
  assert.equal(server.log[1].split('+')[0], 'PATCH 200000');
  assert.equal((await send()).status, 200);
  assert.deepEqual(server.log.slice(2), ['POST'], 'a whole one is only asked for');
});

test('a piece that the browser repeated by itself is asked after, not sent again', async () => {
  const { bytes, server, send } = world(600_000);
  const plain = globalThis.fetch;
  let once = true;
  globalThis.fetch = async (address, init) => {
    if (init.method !== 'PATCH' || !once) return plain(address, init);
    once = false;
    await plain(address, init);
    return plain(address, init); // the first answer was lost below the page
  };
  assert.equal((await send()).status, 200);
  assert.ok(server.bytes.equals(bytes));
  assert.deepEqual(server.log.slice(0, 4).map((l) => l.split(' ')[0]), ['POST', 'PATCH', 'PATCH', 'HEAD']);
});

test('a server that refuses a piece and has nothing more is asked later', async () => {
  const { server, send } = world(300_000);
  const plain = globalThis.fetch;
  globalThis.fetch = async (address, init) => (init.method === 'PATCH' ? new Response('', { status: 409, headers: { 'Witnessmark-Time': '1' } }) : plain(address, init));
  assert.equal((await send()).status, 503);
  assert.equal(server.count.HEAD, 1);
});

test('after a cut it goes on from where the server stands', async () => {
  const { bytes, server, send } = world(2_000_000);
  server.will = (method, n) => (method === 'PATCH' && n % 2 ? 'cut' : undefined);
  assert.equal((await send()).status, 200);
  assert.ok(server.bytes.equals(bytes));
  const pieces = server.log.filter((l) => l.startsWith('PATCH')).map((l) => l.slice(6).split('+').map(Number));
  for (const [i, [offset]] of pieces.entries()) {
    if (i) assert.ok(offset >= pieces[i - 1][0], 'never back behind the last piece');
  }
});

test('an answer to the last piece that got lost is asked for', async () => {
  const { server, send } = world(100_000);
  server.will = (method) => (method === 'PATCH' ? 'answer lost' : undefined);
  assert.equal((await send()).status, 200);
  assert.deepEqual(server.log, ['POST', 'PATCH 0+100000', 'HEAD']);
});

test('without a connection it says so, and leaves the file as it is', async () => {
  for (const method of ['POST', 'PATCH']) {
    const { server, send } = world(100_000);
    server.will = (m) => (m === method ? 'dropped' : undefined);
    await assert.rejects(send, TypeError);
  }
});

test('what answers in the place of the server is no answer', async () => {
  const { server, send } = world(100_000);
  server.will = () => 'portal';
  await assert.rejects(send, TypeError);
});

test('a byte that changed on the way: not received, sent afresh next time', async () => {
  const { bytes, server, send } = world(100_000);
  server.will = (method, n) => (method === 'PATCH' && n === 1 ? 'flipped' : undefined);
  assert.equal((await send()).status, 503);
  assert.equal((await send()).status, 200);
  assert.ok(server.bytes.equals(bytes));
});
