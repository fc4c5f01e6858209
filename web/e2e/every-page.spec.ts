// Runs once all others have: each page of the program was looked at by axe, in light, and in dark on a small phone.
import { expect, test } from '@playwright/test';
import { readFileSync } from 'node:fs';
import { lookedAt, type Looked } from './look.js';

/** Pages that are none: they send on to where one's work is. */
const sendOn = ['/', '/next-attempt'];

/** The paths of the program's pages, from its table of routes; what gives bytes is no page. */
function pages(): string[] {
  const rows = readFileSync('../../internal/ui/routes.go', 'utf8').split('\n').filter((row) => row.includes('Method: get,'));
  return rows.filter((row) => !row.includes('Bytes: true')).map((row) => /Path: "([^"]+)"/.exec(row)![1]).filter((path) => !sendOn.includes(path));
}

/** The page that an address is of: words of its path come before names. */
function pageOf(all: string[], path: string): string | undefined {
  const parts = path.split('/');
  const literal = (page: string) => page.split('/').filter((word) => !word.startsWith(':')).length;
  const fits = (page: string) => page.split('/').length === parts.length && page.split('/').every((word, i) => word.startsWith(':') || word === parts[i]);
  return all.filter(fits).sort((a, b) => literal(b) - literal(a))[0];
}

test('somebody looked at every page', () => {
  const all = pages();
  const looks = readFileSync(lookedAt(), 'utf8').trim().split('\n').map((line) => JSON.parse(line) as Looked);
  const seen = (kind: (l: Looked) => boolean) => new Set(looks.filter(kind).map((l) => pageOf(all, l.path)));
  const [light, small] = [seen((l) => !l.dark), seen((l) => l.dark && l.width === 320)];
  expect(all.filter((page) => !light.has(page)), 'in light').toEqual([]);
  expect(all.filter((page) => !small.has(page)), 'in dark at 320').toEqual([]);
});
