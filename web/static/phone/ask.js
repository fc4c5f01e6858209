// @ts-check
// Asks the server, for the person whose page this is.
import { heard } from './clock.js';
import { person } from './store.js';

/**
 * Asks the server itself; what answers in its place, as public networks do, counts as no connection.
 * @param {string} method @param {string} address @param {Record<string, string>} headers @param {BodyInit} [body]
 */
export async function ask(method, address, headers, body) {
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), 60_000); // AbortSignal.timeout would hold each request for the whole minute
  const answer = await fetch(address, {
    method, body, headers: { Accept: 'application/json', 'Witnessmark-Person': person(), ...headers }, signal: late.signal,
  }).finally(() => clearTimeout(timer));
  if (!answer.headers.has('Witnessmark-Time')) throw new TypeError('no answer of the server');
  const at = heard(answer);
  const said = answer.status === 204 || method === 'HEAD' ? {} : await answer.json().catch(() => ({}));
  return { status: answer.status, at, title: said.detail || said.title, body: said, headers: answer.headers };
}
