// The digests of what is handed over are those that the server reckons (internal/decision/seal_test.go, same cases).
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { entryDigest, evidenceNumber, listDigest, sha256 } from '../../static/phone/seal.js';

const cases = JSON.parse(readFileSync(new URL('../../../testdata/phone/seal.json', import.meta.url), 'utf8'));

test('the digest of a line', async () => {
  assert.ok(cases.entries.length > 0);
  for (const { digest, ...line } of cases.entries) assert.equal(await entryDigest(line), digest, JSON.stringify(line));
});

test('the digest and the number of a list, in whatever order it comes', async () => {
  assert.ok(cases.lists.length > 0);
  for (const { items, digest, number } of cases.lists) {
    assert.equal(await listDigest(items), digest);
    assert.equal(await listDigest(items.toReversed()), digest);
    assert.equal(evidenceNumber(digest), number);
  }
});

// FIPS 180-2, appendix B.1.
test('SHA-256 of “abc”', async () => {
  assert.equal(await sha256(new TextEncoder().encode('abc')), 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
});
