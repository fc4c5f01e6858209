// The sender over a storage, a clock and a server of its own: in order, once, and never more said than is so.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { sender } from '../../static/phone/send.js';

/** A server that keeps what it is sent by id, and does to requests what it is told. */
class Server {
  kept = new Map();
  asked = [];
  /** @type {((ids: string[]) => any)[]} */
  will = [];
  at = 0;
  take(ids) {
    this.asked.push(ids.join(' '));
    const what = this.will.shift()?.(ids);
    if (what === 'lost on the way') throw new TypeError('no connection');
    if (typeof what === 'number') return { status: what, title: `No (${what}).`, at: this.at };
    for (const id of ids) this.kept.set(id, (this.kept.get(id) ?? 0) + (this.kept.has(id) ? 0 : 1));
    if (what === 'answer lost') throw new TypeError('no connection');
    return { status: 204, at: ++this.at };
  }
}

/** One phone: rows that two tabs share, and a clock that is moved on by hand. */
class Phone {
  rows = new Map();
  now = 0;
  modes = [];
  constructor(server) { this.server = server; }
  add(kind, id, over = {}) { this.rows.set(id, { kind, id, attempt: 'a', item: id, at: this.rows.size, ...over }); }
  tab(carry = async (batch) => this.server.take(batch.map((t) => t.id))) {
    const lock = (run) => (this.lock = (this.lock ?? Promise.resolve()).then(run));
    const s = sender({
      things: async () => [...this.rows.values()],
      carry,
      received: async (batch) => { for (const t of batch) this.rows.delete(t.id); },
      mark: async (batch, how) => { for (const t of batch) this.rows.set(t.id, { ...this.rows.get(t.id), ...how }); },
      tell: (mode) => this.modes.push(mode),
      now: () => this.now,
      random: () => 1,
    });
    return { run: () => lock(s.run), again: s.again };
  }
  /** Lets a tab run until nothing is left to wait for, and says how long that took. */
  async through(tab, most = 100) {
    for (let i = 0; i < most; i++) {
      const ms = await tab.run();
      if (ms === Infinity) return this.now;
      this.now += ms;
    }
    throw new Error('it goes on and on');
  }
}

const world = () => {
  const server = new Server();
  const phone = new Phone(server);
  return { server, phone, tab: phone.tab() };
};

test('messages, lines, the hand-over, photos: each once and in this order', async () => {
  const { server, phone, tab } = world();
  phone.add('file', 'p1');
  phone.add('call', 'hand', { ref: 'hand-over' });
  phone.add('line', 'l1');
  phone.add('call', 'meter');
  phone.add('line', 'l2');
  phone.add('file', 'p2');
  await phone.through(tab);
  assert.deepEqual(server.asked, ['meter', 'l1 l2', 'hand', 'p1', 'p2']);
  assert.deepEqual(phone.modes.at(-1), 'idle');
  assert.equal(phone.rows.size, 0);
});

test('an answer that got lost is asked for again, under the same id', async () => {
  const { server, phone, tab } = world();
  phone.add('line', 'l1');
  server.will = [() => 'answer lost', () => 'answer lost'];
  await phone.through(tab);
  assert.deepEqual(server.asked, ['l1', 'l1', 'l1']);
  assert.equal(server.kept.get('l1'), 1);
});

test('without a connection it waits longer each time, and a byte that was acknowledged makes it short again', async () => {
  const { server, phone, tab } = world();
  phone.add('file', 'p1');
  phone.add('file', 'p2');
  const lost = () => 'lost on the way';
  server.will = [lost, lost, lost, () => undefined, lost];
  const waits = [];
  for (let i = 0; i < 5; i++) {
    const ms = await tab.run();
    if (ms === Infinity) break;
    waits.push(ms);
    phone.now += ms;
  }
  assert.deepEqual(waits, [1000, 2000, 4000, 1000]);
  assert.deepEqual(server.asked, ['p1', 'p1', 'p1', 'p1', 'p2', 'p2']);
});

test('bytes of a photo that were acknowledged before the cut count as well', async () => {
  const server = new Server();
  const phone = new Phone(server);
  let cuts = 0;
  const tab = phone.tab(async (batch, acknowledged) => {
    if (cuts++ === 3) return server.take(batch.map((t) => t.id));
    acknowledged();
    throw new TypeError('cut');
  });
  phone.add('file', 'p1');
  assert.equal(await phone.through(tab), 3000);
});

test('a server that is busy now and then, while bytes come through, is not waited for longer and longer', async () => {
  const server = new Server();
  const phone = new Phone(server);
  let busy = 0;
  const tab = phone.tab(async (batch, acknowledged) => {
    acknowledged();
    if (busy++ < 10) return { status: 423, title: 'another page', at: 0 };
    return server.take(batch.map((t) => t.id));
  });
  phone.add('file', 'p1');
  assert.equal(await phone.through(tab), 20_000);
});

test('before its time it does not ask, and with signal again at once', async () => {
  const { server, phone, tab } = world();
  phone.add('line', 'l1');
  server.will = [() => 'lost on the way', () => 'lost on the way'];
  await tab.run();
  assert.equal(await tab.run(), 1000);
  assert.equal(server.asked.length, 1);
  tab.again();
  await tab.run();
  assert.equal(server.asked.length, 2);
});

test('signed out, everything is kept and nothing is tried until the person is back', async () => {
  const { server, phone, tab } = world();
  phone.add('line', 'l1');
  phone.add('file', 'p1');
  server.will = [() => undefined, () => 401];
  assert.equal(await tab.run(), Infinity);
  assert.equal(phone.modes.at(-1), 'signed-out');
  assert.deepEqual([...phone.rows.keys()], ['p1']);
  assert.equal(phone.rows.get('p1').trouble, undefined);
  await phone.through(tab);
  assert.equal(server.kept.get('p1'), 1);
});

test('of lines of which one is refused, that one is named and the others are kept', async () => {
  const { server, phone, tab } = world();
  for (const id of ['l1', 'l2', 'l3']) phone.add('line', id);
  server.will = Array.from({ length: 9 }, () => (ids) => (ids.includes('l2') ? 422 : undefined));
  await phone.through(tab);
  assert.deepEqual([...server.kept.keys()].sort(), ['l1', 'l3']);
  assert.equal(phone.rows.get('l2').trouble, 'No (422).');
  assert.deepEqual(server.asked, ['l1 l2 l3', 'l1', 'l2', 'l3']);
});

test('a photo that is refused stays with the reason, and the next one goes', async () => {
  const { server, phone, tab } = world();
  phone.add('file', 'p1', { item: 'rig' });
  phone.add('file', 'p2', { item: 'rig' });
  server.will = [() => 409];
  await phone.through(tab);
  assert.deepEqual([...server.kept.keys()], ['p2']);
  assert.deepEqual([...phone.rows.values()].map((t) => t.trouble), ['No (409).']);
});

test("the server's own trouble with one thing holds up that item and nothing else", async () => {
  const { server, phone, tab } = world();
  phone.add('file', 'p1', { item: 'rig' });
  phone.add('file', 'p2', { item: 'rig' });
  phone.add('file', 'p3', { item: 'plate' });
  let ill = 4;
  server.will = Array.from({ length: 20 }, () => ([id]) => (id === 'p1' && ill-- > 0 ? 500 : undefined));
  await phone.through(tab);
  assert.deepEqual([...server.kept.keys()], ['p3', 'p1', 'p2']);
  assert.equal(phone.rows.size, 0);
});

test('a full server and one that asks for patience are waited for', async () => {
  for (const status of [408, 423, 425, 429, 500, 502, 503, 507]) {
    const { server, phone, tab } = world();
    phone.add('file', 'p1');
    server.will = [() => status];
    await tab.run();
    assert.equal(phone.modes.at(-1), 'busy');
    assert.equal(phone.rows.get('p1').trouble, undefined);
    await phone.through(tab);
    assert.equal(server.kept.get('p1'), 1, `after ${status}`);
  }
});

test('two tabs send everything once', async () => {
  const { server, phone, tab } = world();
  const other = phone.tab();
  for (let i = 0; i < 10; i++) phone.add('file', `p${i}`);
  await Promise.all([tab.run(), other.run(), tab.run()]);
  assert.deepEqual(server.asked, Array.from({ length: 10 }, (_, i) => `p${i}`));
});

test('what is added while it sends goes too', async () => {
  const { server, phone } = world();
  const tab = phone.tab(async (batch) => {
    if (server.asked.length === 0) phone.add('line', 'l2');
    return server.take(batch.map((t) => t.id));
  });
  phone.add('file', 'p1');
  await phone.through(tab);
  assert.deepEqual(server.asked, ['p1', 'l2']);
});

test('with every third request lost, two hundred photos arrive once each', async () => {
  const { server, phone, tab } = world();
  for (let i = 0; i < 200; i++) phone.add('file', `p${i}`);
  server.will = Array.from({ length: 400 }, (_, i) => () => (i % 3 === 1 ? 'lost on the way' : i % 3 === 2 ? 'answer lost' : undefined));
  await phone.through(tab, 1000);
  assert.equal(server.kept.size, 200);
  assert.ok([...server.kept.values()].every((n) => n === 1));
});
