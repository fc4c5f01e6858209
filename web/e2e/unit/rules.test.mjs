// What the queue goes by: order, back-off, sizes of pieces, and how what is kept meets what a page shows.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { adopted, backOff, chunk, clean, done, leastChunk, merge, mostChunk, next, typed, values, words } from '../../static/phone/rules.js';

const line = (over = {}) => ({
  attempt: 'a', line: 'qv', item: 'qv', part: '', phase: '', text: '12.4', unit: '', working: '', note: '', id: 'i1', at: 100,
  clock: 0, state: 'kept', ...over,
});
const v = (text, unit = '', working = '') => JSON.stringify([text, unit, working]);
const empty = v('');
const thing = (kind, at, over = {}) => ({ kind, at, attempt: 'a', item: `item ${at}`, name: `${kind} ${at}`, ...over });
const names = (things, now = 1000) => next(things, now).batch.map((t) => t.name);

test('next', async (t) => {
  const cases = [
    ['nothing waits', [], []],
    ['a message goes before what may rest on it', [thing('line', 1), thing('call', 2)], ['call 2']],
    ['lines go together, in the order in which they were typed', [thing('line', 2), thing('line', 1), thing('file', 0)], ['line 1', 'line 2']],
    ['lines of another attempt go later', [thing('line', 1), thing('line', 2, { attempt: 'b' })], ['line 1']],
    ['handing over goes after lines', [thing('call', 1, { ref: 'hand-over' }), thing('line', 2)], ['line 2']],
    ['and before photos', [thing('call', 2, { ref: 'hand-over' }), thing('file', 1)], ['call 2']],
    ['photos go one at a time, the oldest first', [thing('file', 2), thing('file', 1)], ['file 1']],
    ['what was not taken holds up nothing', [thing('file', 1, { trouble: 'no', item: 'x' }), thing('file', 2, { item: 'x' })], ['file 2']],
    ['what the person has to see first is not sent', [thing('line', 1, { other: v('5') }), thing('line', 2)], ['line 2']],
    ['a photo that is not covered over is not sent', [thing('file', 1, { hold: true })], []],
    ['of one item nothing overtakes', [thing('file', 1, { notBefore: 2000, item: 'x' }), thing('file', 2, { item: 'x' }), thing('file', 3)], ['file 3']],
    ['a line that hindered others goes alone', [thing('line', 1, { alone: true }), thing('line', 2)], ['line 1']],
    ['and does not join others', [thing('line', 1), thing('line', 2, { alone: true }), thing('line', 3)], ['line 1', 'line 3']],
    ['not more than a hundred lines in a request', Array.from({ length: 150 }, (_, i) => thing('line', i)), Array.from({ length: 100 }, (_, i) => `line ${i}`)],
  ];
  for (const [name, things, want] of cases) await t.test(name, () => assert.deepEqual(names(things), want));
  await t.test('says when to look again', () => {
    assert.equal(next([thing('file', 1, { notBefore: 5000 }), thing('file', 2, { notBefore: 4000 })], 1000).at, 4000);
    assert.equal(next([thing('file', 1, { trouble: 'no', notBefore: 5000 })], 1000).at, Infinity);
  });
});

test('back-off doubles up to a minute, with half of it left to chance', () => {
  const most = [0, 1, 2, 3, 6, 20].map((n) => backOff(n, 1));
  assert.deepEqual(most, [1000, 2000, 4000, 8000, 60_000, 60_000]);
  for (const n of [0, 3, 20]) assert.equal(backOff(n, 0), backOff(n, 1) / 2);
});

test('pieces are aimed at two seconds, from 64 KiB to 4 MiB', () => {
  assert.deepEqual([leastChunk, mostChunk], [65_536, 4_194_304]);
  const cases = [
    [256_000, 2000, 256_000], // as it should be
    [256_000, 4000, 128_000], // half as fast
    [256_000, 1000, 512_000],
    [256_000, 1, 1_024_000], // a buffer took it: four times as much at most
    [65_536, 600_000, leastChunk],
    [mostChunk, 10, mostChunk],
    [0, 0, leastChunk],
  ];
  for (const [size, took, want] of cases) assert.equal(chunk(size, took), want, `${size} bytes in ${took} ms`);
});

test('what is sent is what the centre keeps', () => {
  assert.deepEqual(clean(line({ text: ' 12.4 ', unit: ' kW ', working: 'a\r\nb \n' })), { item: 'qv', part: '', phase: '', text: '12.4', unit: 'kW', working: 'a\nb' });
  assert.equal(clean(line({ text: ' ', unit: 'kW' })).unit, '', 'a unit alone says nothing');
  assert.equal(values(line({ text: '12.4 ' })), v('12.4'));
  assert.equal(words(v('15.8', 'kW', '12 + 3.8 = 15.8')), '15.8 kW, 12 + 3.8 = 15.8');
});

test('merge', async (t) => {
  const drawn = 1_000_000;
  const cases = [
    ['nothing kept', undefined, v('5'), { show: 'page' }],
    ['kept, the page is as it was when it was typed', line({ known: [empty] }), empty, { show: 'row' }],
    ['kept, the page has the same: the answer was lost', line({ known: [empty] }), v('12.4'), { show: 'row' }],
    ['kept, the page has an earlier sending of this phone', line({ known: [empty, v('12')] }), v('12'), { show: 'row' }],
    ['kept, the page is older than what was last received from here', line({ known: [v('12')], knownAt: drawn + 1 }), empty, { show: 'row' }],
    ['kept, changed elsewhere', line({ known: [empty] }), v('13'), { show: 'row', other: v('13') }],
    ['kept, changed elsewhere after something was received from here', line({ known: [v('12')], knownAt: drawn - 60_000 }), v('13'), { show: 'row', other: v('13') }],
    ['kept, typed before on this phone as well', line({ known: [empty], other: v('11') }), empty, { show: 'row', other: v('11') }],
    ['kept, and what differed is on neither side any more', line({ known: [empty, v('13')], other: v('13') }), v('13'), { show: 'row' }],
    ['received, the page was drawn before', line({ state: 'received', receivedAt: drawn + 1 }), empty, { show: 'row' }],
    ['received, the page was read just before and drawn just after', line({ state: 'received', receivedAt: drawn - 500 }), empty, { show: 'row' }],
    ['received, the page has it', line({ state: 'received', receivedAt: drawn - 60_000 }), v('12.4'), { show: 'row' }],
    ['received, then changed elsewhere', line({ state: 'received', receivedAt: drawn - 60_000 }), v('13'), { show: 'page', other: v('12.4') }],
  ];
  for (const [name, row, page, want] of cases) await t.test(name, () => assert.deepEqual(merge(row, page, drawn), want));
});

test('typed', async (t) => {
  let n = 0;
  const id = () => `new ${++n}`;
  const now = (text) => ({ ...line({ text, at: 500 }), id: undefined, state: undefined });
  const type = (row, text, page = empty) => typed(row, now(text), page, id);
  await t.test('the first key makes a row that knows what stood there', () => {
    const row = type(undefined, '1', v('7'));
    assert.deepEqual([row.state, row.text, row.known, row.at], ['kept', '1', [v('7')], 500]);
    assert.match(row.id, /^new/);
  });
  await t.test('what is as the page has it is not kept', () => assert.equal(type(undefined, '7', v('7')), null));
  await t.test('typing on keeps the id while nothing was sent', () => assert.equal(type(line({ known: [empty] }), '12.45').id, 'i1'));
  await t.test('what is back to what stood there is not sent', () => assert.equal(type(line({ known: [empty] }), ''), null));
  for (const [name, over] of [['may have been received', { tried: true }], ['was sealed', { sealed: true }], ['was received', { state: 'received', receivedAt: 9 }]]) {
    await t.test(`what ${name} keeps its id to itself`, () => {
      const row = type(line({ known: [empty], ...over }), '13');
      assert.notEqual(row.id, 'i1');
      assert.ok(!row.tried && !row.sealed && row.receivedAt === undefined);
    });
  }
  await t.test('after a sending even what is back to what stood there is sent', () => assert.equal(type(line({ known: [empty], tried: true }), '').text, ''));
  await t.test('what was received is what the centre is known to have', () => {
    const row = type(line({ state: 'received', receivedAt: 9 }), '13');
    assert.deepEqual([row.known, row.knownAt], [[v('12.4')], 9]);
  });
  await t.test('back to what was received from here is sent: a kept page does not show it', () => {
    assert.equal(type(line({ text: '12.45', known: [v('12.4')], knownAt: 9 }), '12.4').text, '12.4');
  });
  for (const [name, was, at] of [['goes by the clock', 400, 500], ['does not look older where the clock was set back a little', 700, 701], ['nor the same', 500, 501], ['goes by the clock again where it was far out', 500 + 120_000, 500]]) {
    await t.test(`what is typed over a line ${name}`, () => assert.equal(type(line({ at: was, known: [empty] }), '13').at, at));
  }
  await t.test('typing mends what was not taken', () => assert.equal(type(line({ known: [empty], trouble: 'too long' }), '13').trouble, undefined));
});

test('a row of the module that was here first', async (t) => {
  const early = (over = {}) => line({ id: undefined, early: true, ...over });
  const adopt = (row, page = empty) => adopted(row, page, () => 'new');
  await t.test('gets an id and goes into the queue', () => {
    const row = adopt(early());
    assert.deepEqual([row.id, row.state, row.known, row.early, row.other], ['new', 'kept', [empty], undefined, undefined]);
  });
  await t.test('does not swallow what was kept before', () => assert.equal(adopt(early({ text: '5', before: line({ known: [empty] }) })).other, v('12.4')));
  await t.test('typed again the same, nothing is in question', () => assert.equal(adopt(early({ before: line() })).other, undefined));
  await t.test('without its page it takes whatever that shows as known', () => {
    const row = adopted(early(), undefined, () => 'new', 7);
    assert.deepEqual([row.known, row.clock, row.other, merge(row, v('9'), 1000)], [undefined, 7, undefined, { show: 'row' }]);
    assert.equal(adopted(early({ text: '5', before: line({ known: [empty] }) }), undefined, () => 'new').other, v('12.4'));
  });
  await t.test('over what was received is a new value', () => {
    const row = adopt(early({ text: '5', before: line({ state: 'received', receivedAt: 9 }) }));
    assert.deepEqual([row.known, row.knownAt, row.other], [[v('12.4')], 9, undefined]);
  });
});

test('an item is there when every line says something and its files are there', () => {
  assert.equal(done({ files: 0, have: 0, lines: ['1', '2'] }), true);
  assert.equal(done({ files: 0, have: 0, lines: ['1', ' '] }), false);
  assert.equal(done({ files: 2, have: 1, lines: [] }), false);
  assert.equal(done({ files: 2, have: 3, lines: [] }), true);
});
