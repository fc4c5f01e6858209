// The digits of releases on the spot, against values that another program worked (testdata/phone/seal.json).
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { test } from 'node:test';
import { codeOf, dayOf, digitsOf, fits, inThrees, macOf, shown, wrongAgain } from '../../static/phone/digits.js';

const { codes } = JSON.parse(await readFile(new URL('../../../testdata/phone/seal.json', import.meta.url), 'utf8'));

test('what is shown, typed, checked and bound', async () => {
  assert.ok(codes.length > 0);
  for (const c of codes) {
    assert.equal(shown(c.code, c.number), c.shown);
    assert.equal(codeOf(c.shown, c.number), c.code);
    assert.equal(await fits(c.code, c), true);
    assert.equal(await fits(codeOf(c.shown, String((Number(c.number) + 1) % 1_000_000).padStart(6, '0')), c), false, 'another evidence number');
    assert.equal(await macOf(c.code, [c.attempt, c.stage, c.day, c.list]), c.mac);
  }
});

test('digits as people type them', () => {
  for (const [typed, n, want] of [
    ['123 456', 6, '123456'], [' 123-456.', 6, '123456'], ['12345', 6, ''], ['1234567', 6, ''], ['12345a', 6, ''], ['', 6, ''],
    ['483 920 175 564', 12, '483920175564'], ['٤٨٣٩٢٠', 6, ''],
  ]) assert.equal(digitsOf(/** @type {string} */ (typed), /** @type {number} */ (n)), want, String(typed));
  assert.equal(inThrees('483920175564'), '483 920 175 564');
  assert.equal(inThrees('000123'), '000 123');
});

test('the day is that of London', () => {
  assert.equal(dayOf({ at: Date.UTC(2026, 4, 4, 22, 59), clock: null }), '2026-05-04');
  assert.equal(dayOf({ at: Date.UTC(2026, 4, 4, 23, 1), clock: null }), '2026-05-05'); // summer time
  assert.equal(dayOf({ at: Date.UTC(2026, 0, 4, 23, 59), clock: null }), '2026-01-04');
  assert.equal(dayOf({ at: Date.UTC(2026, 0, 4, 23, 59), clock: 120_000 }), '2026-01-05', 'the phone is two minutes slow');
});

test('five wrong ones in a row wait for a minute', () => {
  /** @type {import('../../static/phone/digits.js').Tries | undefined} */
  let tries;
  for (let i = 1; i < 5; i++) {
    tries = wrongAgain(tries, 1000);
    assert.deepEqual(tries, { wrong: i, until: 0 });
  }
  tries = wrongAgain(tries, 1000);
  assert.deepEqual(tries, { wrong: 0, until: 61_000 });
  assert.deepEqual(wrongAgain(tries, 70_000), { wrong: 1, until: 0 });
});
