// The helpers of everything that runs on a phone: a browser with a phone's profile and a storage of its own, which can be
// killed and opened again, with a recorder between it and the server.
import { test as base, chromium, expect, type BrowserContext, type Page } from '@playwright/test';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Centre, type Attempt, type Person } from './centre.js';
import { Recorder } from './recorder.js';
import { dataFolder, launch, phoneProfile, port } from './settings.js';

export { expect };
export { photo, jpeg, random } from './photo.js';
export { sha256 } from './centre.js';
export type { Attempt, Person } from './centre.js';

/** What the phone keeps in IndexedDB for the person, by store, without the bytes of files. */
export interface Kept { line: Record<string, any>[]; file: Record<string, any>[]; job: Record<string, any>[]; meta: Record<string, any>[] }

export class Phone {
  context!: BrowserContext;
  page!: Page;
  /** What went wrong in pages, to be empty at the end. */
  readonly troubles: string[] = [];

  constructor(readonly origin: string, readonly folder: string, readonly who: Person | null, private options: { args?: string[] } & Record<string, unknown> = {}) {}

  /** Opens the browser, with what it kept. */
  async open(): Promise<Page> {
    this.context = await chromium.launchPersistentContext(this.folder, { ...launch, ...phoneProfile, baseURL: this.origin, actionTimeout: 20_000, ...this.options, args: [...launch.args, ...(this.options.args ?? [])] } as object);
    if (this.who) await this.signedIn(this.who);
    this.context.on('page', (p) => this.watch(p));
    this.page = this.context.pages()[0] ?? (await this.context.newPage());
    this.watch(this.page);
    return this.page;
  }

  private watch(p: Page) { p.on('pageerror', (e) => this.troubles.push(String(e))); }

  /** Puts the person's session into the jar. Chromium writes its jar to the disk every 30 seconds only, so that a browser
   * which is killed within a test has forgotten it. */
  async signedIn(who: Person) {
    await this.context.addCookies([{ name: 'wm', value: who.cookie, url: this.origin, httpOnly: true, sameSite: 'Lax', expires: Date.now() / 1000 + 12 * 3600 }]);
  }

  /** Ends every process of the browser at once, as a phone that runs out of memory or battery does. */
  async kill() {
    const gone = new Promise((done) => this.context.once('close', done));
    for (const pid of this.processes()) {
      try { process.kill(pid, 'SIGKILL'); } catch { /* gone with its parent */ }
    }
    await gone;
    rmSync(join(this.folder, 'SingletonLock'), { force: true });
  }

  /** The browser's processes, the first of them started last; kind is "renderer" for those that hold pages. */
  processes(kind = ''): number[] {
    const all = execFileSync('ps', ['-eo', 'pid=,ppid=,args='], { encoding: 'utf8', maxBuffer: 1 << 24 }).trim().split('\n')
      .map((l) => /^ *(\d+) +(\d+) (.*)$/.exec(l)!).map(([, pid, parent, args]) => ({ pid: Number(pid), parent: Number(parent), args }));
    const mine = all.filter((p) => p.args.includes(this.folder)); // only the first is sure to name the folder
    for (const m of mine) mine.push(...all.filter((p) => p.parent === m.pid && !mine.includes(p)));
    return mine.filter((p) => !kind || p.args.includes(`--type=${kind}`)).map((p) => p.pid).sort((a, b) => b - a);
  }

  async offline(off = true) { await this.context.setOffline(off); }

  /** Opens a page with signal, and waits until the phone keeps it. */
  async visit(path: string) {
    await this.page.goto(path);
    await expect(async () => {
      expect(await this.page.evaluate(async (p) => Boolean(await caches.match(p)), path)).toBe(true);
      expect(await this.page.evaluate(() => Boolean(navigator.serviceWorker.controller))).toBe(true);
    }).toPass({ timeout: 15_000, intervals: [50, 100, 200] });
  }

  /** Kills the browser and opens it again on the page. Chromium writes down which pages it keeps a few seconds late, and a
   * worker only once it has started: what a test opened moments before is therefore given time, once. */
  async again(path: string) {
    await this.kill();
    await this.open();
    await this.page.goto(path);
  }

  async close() { await this.context?.close().catch(() => undefined); }

  /** What the phone keeps for the person. Any page of the origin can read it; one that is just being loaded, which may be more
   * than once in a row, is asked again. */
  async kept(page = this.page): Promise<Kept> {
    for (let i = 0; ; i++) {
      try {
        return await this.read(page);
      } catch (trouble) {
        if (i === 5) throw trouble;
        await page.waitForLoadState();
      }
    }
  }

  private read(page: Page): Promise<Kept> {
    return page.evaluate(async (person) => {
      const out: Record<string, any[]> = { line: [], file: [], job: [], meta: [] };
      const there = await indexedDB.databases();
      if (!there.some((d) => d.name === `wm-${person}`)) return out as any;
      const db = await new Promise<IDBDatabase>((done, failed) => {
        const r = indexedDB.open(`wm-${person}`);
        r.onsuccess = () => done(r.result);
        r.onerror = () => failed(r.error);
      });
      for (const name of Object.keys(out)) {
        if (!db.objectStoreNames.contains(name)) continue;
        out[name] = await new Promise((done, failed) => {
          const r = db.transaction(name).objectStore(name).getAll();
          r.onsuccess = () => done(r.result);
          r.onerror = () => failed(r.error);
        });
      }
      db.close();
      return out as any;
    }, this.who?.id ?? '');
  }

  /** Waits until the phone has nothing left to send. */
  async settled(page = this.page, timeout = 60_000) {
    await expect(async () => {
      const kept = await this.kept(page);
      expect(kept.job.map((j) => `${j.kind} ${j.trouble ?? ''}`)).toEqual([]);
      expect(kept.line.filter((l) => l.state !== 'received')).toEqual([]);
      expect(kept.file.filter((f) => f.state !== 'received')).toEqual([]);
    }).toPass({ timeout, intervals: [100, 200, 300] });
  }

  /** Waits until the phone keeps these texts, by the line's name, and so many photos. */
  async holds(lines: Record<string, string>, files = 0, page = this.page) {
    await expect(async () => {
      const kept = await this.kept(page);
      const texts = Object.fromEntries(kept.line.map((l) => [l.line, l.text]));
      expect(texts).toMatchObject(lines);
      expect(kept.file.length).toBe(files);
    }).toPass({ timeout: 15_000, intervals: [50, 100, 200] });
  }
}

/** Switches a page's network off or on. */
export const offline = (page: Page, off = true) => page.context().setOffline(off);

type Each = {
  /** The recorder between this test's phones and the server. */
  line: Recorder;
  /** A phone of the person, with a page that is signed in; null is nobody. It is closed at the end, and its pages must have
   * thrown nothing. */
  phone: (who: Person | null, options?: { args?: string[] } & Record<string, unknown>) => Promise<Phone>;
  /** A trainee whom no other test knows, and an attempt of their own on the short brief. */
  attempt: Attempt;
};

export const test = base.extend<Each, { centre: Centre }>({
  centre: [async ({}, use) => { await use(new Centre(port)); }, { scope: 'worker' }],
  line: async ({}, use) => {
    const line = await Recorder.before(port);
    await use(line);
    await line.close();
  },
  phone: async ({ line }, use) => {
    const phones: Phone[] = [];
    await use(async (who, options) => {
      const p = new Phone(line.origin, mkdtempSync(join(dataFolder(), 'phone-')), who, options);
      phones.push(p);
      await p.open();
      return p;
    });
    for (const p of phones) await p.close();
    for (const p of phones) rmSync(p.folder, { recursive: true, force: true });
    expect(phones.flatMap((p) => p.troubles)).toEqual([]);
  },
  attempt: async ({ centre }, use) => { await use(await centre.attempt(await centre.newTrainee())); },
});

/** The resident memory of a process in bytes (proc(5), status): VmRSS is all of it, RssAnon what is not of files. */
export const resident = (pid: number, kind: string) => {
  try {
    return 1024 * Number(new RegExp(`${kind}:\\s+(\\d+)`).exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1] ?? 0);
  } catch {
    return 0; // gone
  }
};
