// What a test sets up through the API, so that it does not depend on pages: people, and attempts of their own.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { request } from 'node:http';
import { password } from './settings.js';

export interface Person { id: string; name: string; signInName: string; cookie: string }
export interface Attempt { id: string; path: string; cohort: string; trainee: Person }

export interface Entry { text: string; unit?: string; working?: string; captured_at: string; received_at: string }
export interface SheetFile { id: string; name: string; caption?: string; sha256: string; size: number; received_at: string }
export interface Line { part?: string; phase?: string; entry?: Entry; earlier: Entry[] }
export interface Item { key: string; form: string; lines: Line[]; files: SheetFile[] }
export interface Held { id: string; item: string; line?: string; text?: string; file?: SheetFile }
export interface Sheet { id: string; state: string; held: Held[]; stages: { key: string; items: Item[]; helped?: Entry }[] }

export const sha256 = (bytes: Uint8Array | string) => createHash('sha256').update(bytes).digest('hex');

let sender = process.pid % 200;
/** One address may sign in only so often; all of 127.0.0.0/8 is this machine, so that each request can come from another. */
const anotherAddress = () => `127.0.${1 + (process.pid % 250)}.${1 + (sender++ % 250)}`;

/** The parts of an answer that tests look at. */
export interface Answer { status: number; headers: NodeJS.Dict<string | string[]>; body: Buffer }

/** A centre as its API shows it at an address. */
export class Centre {
  private people = new Map<string, Person>();
  private briefs = new Map<string, string>();

  constructor(readonly port: number) {}

  /** Sends one request as the person, and throws unless the answer is good or its status is one of those allowed. */
  async send(who: Person | null, method: string, path: string, body?: unknown, headers: Record<string, string> = {}, allowed: number[] = []): Promise<Answer> {
    const raw = body === undefined ? null : body instanceof Uint8Array ? Buffer.from(body) : Buffer.from(JSON.stringify(body));
    const all: Record<string, string> = { ...(who ? { Cookie: `wm=${who.cookie}` } : {}), ...(raw && !(body instanceof Uint8Array) ? { 'Content-Type': 'application/json' } : {}), ...headers };
    if (raw) all['Content-Length'] = String(raw.length);
    const answer = await new Promise<Answer>((done, failed) => {
      const r = request({ host: '127.0.0.1', port: this.port, method, path, headers: all, localAddress: anotherAddress(), agent: false }, (res) => {
        const parts: Buffer[] = [];
        res.on('data', (p: Buffer) => parts.push(p));
        res.on('end', () => done({ status: res.statusCode!, headers: res.headers, body: Buffer.concat(parts) }));
        res.on('error', failed);
      });
      r.on('error', failed);
      r.end(raw ?? undefined);
    });
    if (answer.status >= 400 && !allowed.includes(answer.status)) throw new Error(`${method} ${path}: ${answer.status} ${answer.body}`);
    return answer;
  }

  /** A request with a JSON answer. */
  async json<T>(who: Person | null, method: string, path: string, body?: unknown): Promise<T> {
    const answer = await this.send(who, method, path, body);
    return (answer.body.length ? JSON.parse(answer.body.toString()) : undefined) as T;
  }

  private async session(path: string, body: unknown, signInName: string): Promise<Person> {
    const answer = await this.send(null, 'POST', path, body);
    const cookie = /^wm=([^;]+)/.exec((answer.headers['set-cookie'] ?? [])[0] ?? '')?.[1];
    if (!cookie) throw new Error(`${path} set no session`);
    const caller = JSON.parse(answer.body.toString()) as { person: string; name: string };
    return { id: caller.person, name: caller.name, signInName, cookie };
  }

  /** A session of its own, for a test that ends it. */
  signIn(signInName: string): Promise<Person> {
    return this.session('/api/session', { name: signInName, password }, signInName);
  }

  /** Somebody of the demonstration, signed in once. */
  async person(signInName: string): Promise<Person> {
    let p = this.people.get(signInName);
    if (!p) this.people.set(signInName, p = await this.signIn(signInName));
    return p;
  }

  /** A new person, whom no other test knows; a tutor holds an assessor's award, so that what they decide stands by itself. */
  async newPerson(role: string, name = 'Robin Quickfit'): Promise<Person> {
    const manager = await this.person('farrowby');
    const signInName = `t-${Date.now().toString(36)}${Math.random().toString(36).slice(2, 8)}`;
    const { token } = await this.json<{ token: string }>(manager, 'POST', '/api/people', { name, sign_in_name: signInName, roles: [role] });
    const person = await this.accept(token, signInName);
    if (role === 'tutor') await this.json(manager, 'POST', `/api/people/${person.id}/registrations`, { kind: 'assessor', number: 'Award 1', valid_from: '2020-01-01' });
    return person;
  }

  /** Somebody who was invited chooses the password. */
  accept(token: string, signInName: string): Promise<Person> { return this.session(`/api/invitations/${token}`, { password }, signInName); }

  newTrainee(name?: string): Promise<Person> { return this.newPerson('trainee', name); }

  /** The id of a published brief: one of the demonstration by its key, or brief.yaml by "short". */
  private async brief(key: string): Promise<string> {
    const known = this.briefs.get(key);
    if (known) return known;
    const tutor = await this.person('ellingham');
    const wanted = key === 'short' ? `bay-7-short-${Date.now().toString(36)}-${process.pid}` : key;
    if (key === 'short') {
      const source = readFileSync('brief.yaml', 'utf8').replace('key: bay-7-short', `key: ${wanted}`);
      const { brief } = await this.json<{ brief: string }>(tutor, 'POST', '/api/briefs', { source });
      const [at, digest] = [`/api/briefs/${brief}/versions/1`, sha256(source)];
      await this.json(tutor, 'POST', `${at}/ask`, { digest });
      await this.json(await this.person('rathmell'), 'POST', `${at}/publish`, { digest });
      this.briefs.set(key, brief);
      return brief;
    }
    const { briefs } = await this.json<{ briefs: { brief: string; key: string }[] }>(tutor, 'GET', '/api/briefs');
    const found = briefs.find((b) => b.key === wanted);
    if (!found) throw new Error(`no brief ${wanted}; there are ${briefs.map((b) => b.key).join(', ')}`);
    this.briefs.set(key, found.brief);
    return found.brief;
  }

  /** A cohort of the trainee alone, taught by Ellingham, with one task; the attempt is open unless it is to stay planned. */
  async attempt(trainee: Person, options: { brief?: string; planned?: boolean } = {}): Promise<Attempt> {
    const [manager, tutor] = [await this.person('farrowby'), await this.person('ellingham')];
    const name = `Alone ${Date.now().toString(36)}${Math.random().toString(36).slice(2, 8)}`;
    const { id: cohort } = await this.json<{ id: string }>(manager, 'POST', '/api/cohorts', { name });
    await this.json(manager, 'POST', `/api/cohorts/${cohort}/members`, { person: trainee.id, part: 'trainee' });
    await this.json(manager, 'POST', `/api/cohorts/${cohort}/members`, { person: tutor.id, part: 'tutor' });
    const brief = await this.brief(options.brief ?? 'short');
    await this.json(tutor, 'POST', `/api/cohorts/${cohort}/tasks`, { brief, version: 1 });
    const { tasks } = await this.json<{ tasks: { attempt: string; cohort: string }[] }>(trainee, 'GET', '/api/tasks');
    const id = tasks.find((t) => t.cohort === cohort)!.attempt;
    if (!options.planned) await this.json(trainee, 'POST', `/api/attempts/${id}/open`, { plan_agreed: true, risk_seen: true });
    return { id, path: `/attempts/${id}`, cohort, trainee };
  }

  sheet(a: Attempt, who: Person = a.trainee): Promise<Sheet> { return this.json(who, 'GET', `/api/attempts/${a.id}`); }

  /** The bytes of one file as the centre has them. */
  async bytes(who: Person, file: string): Promise<Buffer> { return (await this.send(who, 'GET', `/api/files/${file}`)).body; }
}
