// Random faults: a person works on an attempt while browser, server and connection fail at random, all of it decided by a
// seed. Then everything heals, and the oracle compares.
import type { Centre } from './centre.js';
import { Deeds, wrong } from './oracle.js';
import type { Phone } from './phone.js';
import { photo, random } from './photo.js';
import type { Recorder, Trouble } from './recorder.js';
import type { OwnServer } from './server.js';
import { handOver, lineOf, short, take, tick, type } from './work.js';

/** What a run is made with; the phone is opened for the run's trainee. What always goes wrong is not healed. */
export interface World { centre: Centre; line: Recorder; server: OwnServer; phone: Phone; always: Trouble[] }

export interface Outcome { seed: number; steps: string[]; wrong: string[] }

const lines = ['pressure@as-found', 'pressure@as-left', 'qv', 'tf'];
const elsewhere = 'tr'; // typed in a second tab alone: what two people type into one line is theirs to settle

class Run {
  readonly steps: string[] = [];
  private deeds = new Deeds();
  private off = false;
  private sealed = false;
  private starting: Promise<void> | undefined;
  private next: () => number;

  constructor(private w: World, private attempt: { id: string; path: string }, private seed: number) { this.next = random(seed); }

  private pick<T>(all: readonly T[]): T { return all[Math.floor(this.next() * all.length)]; }
  private upTo(n: number) { return 1 + Math.floor(this.next() * n); }

  /** Waits until the phone says by its storage that it keeps what was just done: from then on it may not be lost. */
  private async kept(fits: (k: Awaited<ReturnType<Phone['kept']>>) => boolean) {
    for (let i = 0; i < 200; i++) {
      if (fits(await this.w.phone.kept())) return;
      await new Promise((done) => setTimeout(done, 50));
    }
    throw new Error(`the phone did not keep it: ${this.steps.at(-1)}`);
  }

  private lineIs(name: string, text: string) {
    return this.kept((k) => k.line.some((l) => l.attempt === this.attempt.id && l.line === name && l.text === text));
  }

  /** Every step by its name, with how often it comes. */
  private readonly ways: [string, number, () => Promise<void>][] = [
    ['type', 6, async () => {
      const [name, value] = [this.pick(lines), (this.next() * 90).toFixed(2)];
      this.steps[this.steps.length - 1] += ` ${name} ${value}`;
      await type(this.w.phone.page, this.deeds, name, value);
      await this.lineIs(name, value);
    }],
    ['tick', 1, async () => {
      await tick(this.w.phone.page, this.deeds, 'risk');
      await this.lineIs('risk', this.deeds.lines.get('risk')!);
    }],
    ['photo', 4, async () => {
      const before = (await this.w.phone.kept()).file.length;
      await take(this.w.phone.page, this.deeds, 'before', [photo(6000 + this.upTo(400_000), Math.floor(this.next() * 2 ** 31))]);
      await this.kept((k) => k.file.length > before);
    }],
    ['off', 2, () => this.network(true)],
    ['on', 3, () => this.network(false)],
    ['kill browser', 1, () => this.reopen(true)],
    ['reload', 1, () => this.reopen(false)],
    ['kill server', 1, async () => {
      await this.starting;
      await this.w.server.kill();
      this.starting = new Promise((done, failed) => setTimeout(() => this.w.server.start().then(done, failed), 50 * this.upTo(10)));
      this.starting.catch(() => undefined); // heard of when it is waited for
    }],
    ['cut', 3, async () => { this.w.line.cuts = [this.w.line.passed + this.upTo(200_000)]; }],
    ['trouble', 3, async () => {
      const kind = this.pick(['drop', 'mute', 'twice'] as const);
      this.steps[this.steps.length - 1] += ` ${kind}`;
      this.w.line.next((s) => s.method !== 'GET' && s.method !== 'HEAD', { kind }, this.upTo(3));
    }],
    ['second tab', 1, async () => {
      const tab = await this.w.phone.context.newPage();
      await tab.goto(this.attempt.path);
      const value = (this.next() * 90).toFixed(2);
      await type(tab, this.deeds, elsewhere, value);
      await this.lineIs(elsewhere, value);
      await tab.close();
    }],
    ['hand over', 1, async () => {
      if (this.steps.length < 6) return;
      await short(this.w.phone.page, this.deeds);
      for (const [name, text] of this.deeds.lines) await this.lineIs(name, text);
      for (let n = this.deeds.photos.size; n < 2; n++) await take(this.w.phone.page, this.deeds, 'before', [photo(9000, this.seed * 8 + n)]);
      await this.kept((k) => k.file.length === this.deeds.photos.size);
      await handOver(this.w.phone.page);
      await this.kept((k) => k.meta.some((m) => Array.isArray(m?.items))); // the sealed list; the clock lies there too
      this.sealed = true;
    }],
  ];

  private async network(off: boolean) {
    this.off = off;
    await this.w.phone.offline(off);
  }

  private async reopen(kill: boolean) {
    if (kill) {
      await this.w.phone.kill();
      await this.w.phone.open();
      await this.w.phone.offline(this.off);
    }
    // Without the worker's copy, a page whose server is away is tried until it is back.
    for (let i = 0; ; i++) {
      try {
        await this.w.phone.page.goto(this.attempt.path, { timeout: 30_000 }); // one that the page's own reload overtook never ends
        await lineOf(this.w.phone.page, 'qv').or(this.w.phone.page.locator('#sealed')).first().waitFor({ timeout: 30_000 });
        return;
      } catch (trouble) {
        if (i === 5) throw trouble;
      }
    }
  }

  async do() {
    this.w.line.troubles = [...this.w.always];
    await this.w.phone.visit(this.attempt.path);
    const many = 6 + this.upTo(8);
    const all = this.ways.flatMap(([name, often]) => Array.from({ length: often }, () => name));
    for (let i = 0; i < many; i++) {
      const name = this.pick(all);
      if (this.sealed && ['type', 'tick', 'photo', 'second tab', 'hand over'].includes(name)) continue;
      this.steps.push(name);
      await this.ways.find(([n]) => n === name)![2]();
    }
  }

  /** Everything works again, and the phone is left alone until it has nothing to send. */
  async heal(): Promise<string[]> {
    const { line, phone, centre } = this.w;
    line.troubles = [...this.w.always];
    line.cuts = [];
    await this.starting;
    await this.network(false);
    const nudge = setInterval(() => void phone.page.evaluate(() => dispatchEvent(new Event('online'))).catch(() => undefined), 200); // spares the back-off
    await phone.settled(phone.page, 60_000).finally(() => clearInterval(nudge));
    const found = await wrong(centre, { ...this.attempt, cohort: '', trainee: phone.who! }, line.ledger, this.deeds, [await phone.kept()]);
    if (this.sealed && (await centre.sheet({ ...this.attempt, cohort: '', trainee: phone.who! })).state === 'open') found.push('lost: the hand-over');
    return found;
  }
}

/** Does one run by its seed, which decides every step. */
export async function run(w: World, attempt: { id: string; path: string }, seed: number): Promise<Outcome> {
  const r = new Run(w, attempt, seed);
  try {
    await r.do();
    return { seed, steps: r.steps, wrong: await r.heal() };
  } catch (trouble) {
    return { seed, steps: r.steps, wrong: [String(trouble)] };
  }
}
