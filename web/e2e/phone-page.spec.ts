// Pages on a phone: what is kept of them, for whom, for how long, and how they look in the hand.
import { AxeBuilder } from '@axe-core/playwright';
import type { Page } from '@playwright/test';
import { expect, test, type Phone } from './phone.js';
import { password } from './settings.js';
import { type as typed } from './work.js';
import { Deeds } from './oracle.js';

/** The names of the caches and the paths that pages are kept under, of whomever. */
const caches = (page: Page) => page.evaluate(async () => {
  const out: Record<string, string[]> = {};
  for (const name of await globalThis.caches.keys()) {
    out[name] = (await (await globalThis.caches.open(name)).keys()).map((k) => new URL(k.url).pathname);
  }
  return out;
});

const databases = (page: Page) => page.evaluate(async () => (await indexedDB.databases()).map((d) => d.name));

/** Waits until the phone keeps a page. */
async function keeps(page: Page, person: string, path: string) {
  await expect.poll(async () => (await caches(page))[`wm-pages-${person}`] ?? [], { timeout: 20_000 }).toContain(path);
}

async function signIn(page: Page, name: string) {
  await page.goto('/sign-in');
  await page.getByLabel('Sign-in name').fill(name);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByRole('button', { name: 'Sign out' })).toBeVisible();
}

/** Opens the attempt, and waits until it and the tasks are kept. */
async function opened(p: Phone, path: string) {
  await p.page.goto(path);
  await keeps(p.page, p.who!.id, path);
  await keeps(p.page, p.who!.id, '/tasks');
}

test('what was opened once opens again without signal, the start leads to the tasks, and the rest says why it does not', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await opened(p, attempt.path);
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(p.page.locator('[data-attempt]')).toBeVisible();
  await p.page.goto('/');
  await expect(p.page.getByRole('heading', { name: 'My tasks' })).toBeVisible();
  await p.page.goto('/rules');
  await expect(p.page.locator('main')).toContainText('There is no signal, and this page is not kept on this phone.');
  await p.page.getByRole('link', { name: 'To my tasks' }).click();
  await expect(p.page.getByRole('heading', { name: 'My tasks' })).toBeVisible();
});

test('a task that was only listed opens without signal', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.page.goto('/tasks');
  await keeps(p.page, attempt.trainee.id, attempt.path);
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(p.page.locator('[data-attempt] .line').first()).toBeVisible();
});

test('a slow line shows what is kept after some seconds, and keeps what comes later', async ({ attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  await opened(p, attempt.path);
  /** When the copy that the phone keeps was drawn. */
  const keptOf = () => p.page.evaluate(async ([who, path]) => {
    const kept = await (await globalThis.caches.open(`wm-pages-${who}`)).match(path);
    return Number(/data-drawn="(\d+)"/.exec(await kept!.text())![1]);
  }, [attempt.trainee.id, attempt.path]);
  const first = await keptOf();
  await p.page.goto('/tasks'); // asks for the open tasks once more
  await expect.poll(keptOf).toBeGreaterThan(first);
  const before = await keptOf();
  line.next((s) => s.method === 'GET' && s.path === attempt.path, { kind: 'delay', ms: 8000 });
  await p.page.goto(attempt.path);
  expect(Number(await p.page.locator('body').getAttribute('data-drawn'))).toBe(before);
  await expect.poll(keptOf, { timeout: 30_000 }).toBeGreaterThan(before);
});

test('a server that is being started again, or a login page of somebody else\'s network, does not stand in for the page', async ({ attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  await opened(p, attempt.path);
  line.next((s) => s.path === attempt.path, { kind: 'answer', status: 502, body: 'away' });
  await p.page.goto(attempt.path);
  await expect(p.page.locator('[data-attempt]')).toBeVisible();
  line.next((s) => s.path === attempt.path, { kind: 'answer', status: 200, headers: { 'Content-Type': 'text/html' }, body: '<h1>Free wifi</h1>' });
  await p.page.goto(attempt.path);
  await expect(p.page.getByRole('heading', { name: 'Free wifi' })).toBeVisible(); // so that they can sign in to it
  await p.offline();
  await p.page.goto(attempt.path);
  await expect(p.page.locator('[data-attempt]')).toBeVisible();
});

test('once the server says that the session ended, nothing of it is shown without signal', async ({ centre, phone }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee);
  const p = await phone(trainee);
  await opened(p, attempt.path);
  await centre.send(trainee, 'DELETE', '/api/session');
  await p.page.goto('/tasks');
  await expect(p.page.getByRole('heading', { name: 'Sign in' })).toBeVisible();
  await p.offline();
  for (const path of [attempt.path, '/tasks', '/']) {
    await p.page.goto(path);
    await expect(p.page.locator('main')).toContainText('not kept on this phone');
    await expect(p.page.locator('html')).toHaveAttribute('data-person', '');
  }
});

test('signing out without signal hides all at once, and the server hears of it before anything else', async ({ centre, phone, line }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee);
  const p = await phone(trainee);
  await opened(p, attempt.path);
  await p.offline();
  await p.page.getByRole('button', { name: 'Sign out' }).click();
  await expect(p.page.locator('#no-signal')).toBeVisible();
  await p.page.goto(attempt.path);
  await expect(p.page.locator('#no-signal')).toBeVisible();
  expect(Object.keys(await caches(p.page))).not.toContain(`wm-pages-${trainee.id}`);
  line.log.length = 0;
  await p.offline(false);
  await p.page.goto('/tasks');
  await expect(p.page.getByRole('heading', { name: 'Sign in' })).toBeVisible();
  expect(line.log.filter((s) => !s.path.startsWith('/static/') && s.path !== '/sw.js').map((s) => `${s.method} ${s.path}`)[0]).toBe('POST /sign-out');
  const answer = await centre.send(trainee, 'GET', '/api/tasks', undefined, {}, [401]);
  expect(answer.status).toBe(401);
});

test('signing out with nothing left to send takes all of the person off the phone', async ({ centre, phone, line }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee);
  const p = await phone(trainee);
  await opened(p, attempt.path);
  await typed(p.page, new Deeds(), 'qv', '12.4');
  await p.settled();
  expect(await databases(p.page)).toContain(`wm-${trainee.id}`);
  await p.page.getByRole('button', { name: 'Sign out' }).click();
  await expect(p.page.getByRole('heading', { name: 'Sign in' })).toBeVisible();
  await expect(p.page.getByRole('dialog')).toHaveCount(0);
  expect(await databases(p.page)).not.toContain(`wm-${trainee.id}`);
  expect(Object.keys(await caches(p.page))).not.toContain(`wm-pages-${trainee.id}`);
  const signedOut = line.log.find((s) => s.path === '/sign-out')!;
  expect(signedOut.answer['clear-site-data']).toBe('"cache"');
});

test('signing out with something left to send can be thought better of', async ({ centre, phone }) => {
  const trainee = await centre.newTrainee();
  const attempt = await centre.attempt(trainee);
  const p = await phone(trainee);
  await opened(p, attempt.path);
  await p.offline();
  await typed(p.page, new Deeds(), 'qv', '12.4');
  await p.holds({ qv: '12.4' });
  await p.page.getByRole('button', { name: 'Sign out' }).click();
  await expect(p.page.getByRole('dialog')).toContainText(`1 line. If you sign out, this stays here under the name of ${trainee.name}`);
  await p.page.getByRole('button', { name: 'Stay signed in' }).click();
  await expect(p.page.getByRole('dialog')).toHaveCount(0);
  await p.page.reload();
  await expect(p.page.locator('[data-line="qv"] input[inputmode]')).toHaveValue('12.4');
  await p.offline(false);
  await p.settled();
});

test('another tab of the same person leaves when they sign out, and when somebody else signs in', async ({ centre, phone }) => {
  const [first, second] = [await centre.newTrainee('Alex Firstrig'), await centre.newTrainee('Kit Secondrig')];
  const attempt = await centre.attempt(first);
  const p = await phone(first);
  await opened(p, attempt.path);
  const other = await p.context.newPage();
  await other.goto('/tasks');
  await other.getByRole('button', { name: 'Sign out' }).click();
  await expect(other.getByRole('heading', { name: 'Sign in' })).toBeVisible();
  await expect(p.page.getByRole('heading', { name: 'Sign in' })).toBeVisible();
  await signIn(other, second.signInName);
  await p.page.goto('/tasks');
  await expect(p.page.locator('.me')).toHaveText('Kit Secondrig');
  // Signed in again elsewhere without signing out, as a jar of cookies that was changed would have it.
  await p.signedIn(await centre.signIn(first.signInName));
  await other.goto('/tasks');
  await expect(other.locator('.me')).toHaveText('Alex Firstrig');
  await expect(p.page.locator('.me')).toHaveText('Alex Firstrig');
});

test('a new worker keeps the files of an old edition as long as a kept page names them', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await opened(p, attempt.path);
  await p.page.evaluate(async (who) => {
    for (const old of ['aaaaaaaaaaaa', 'bbbbbbbbbbbb']) {
      await (await globalThis.caches.open(`wm-static-${old}`)).put(`/static/${old}/sheet.css`, new Response(`/* ${old} */`));
    }
    await (await globalThis.caches.open(`wm-pages-${who}`)).put('/attempts/00000000-0000-4000-8000-000000000000', new Response('old', { headers: { 'Witnessmark-Edition': 'aaaaaaaaaaaa' } }));
    await (await navigator.serviceWorker.ready).unregister();
  }, attempt.trainee.id);
  await p.page.reload();
  await p.page.evaluate(() => navigator.serviceWorker.ready);
  await expect.poll(async () => Object.keys(await caches(p.page))).not.toContain('wm-static-bbbbbbbbbbbb');
  expect(await caches(p.page)).toHaveProperty('wm-static-aaaaaaaaaaaa');
  expect(await p.page.evaluate(async () => (await fetch('/static/aaaaaaaaaaaa/sheet.css')).text())).toBe('/* aaaaaaaaaaaa */');
});

test('no other script becomes a worker, and no other policy makes script addresses', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await p.page.goto('/tasks');
  const refused = await p.page.evaluate(async () => {
    const trying = async (act: () => unknown) => { try { await act(); return 'done'; } catch (e) { return (e as Error).name; } };
    return [
      await trying(() => navigator.serviceWorker.register('/static/other.js')),
      await trying(() => (globalThis as any).trustedTypes.createPolicy('another', {})),
      await trying(() => (globalThis as any).trustedTypes.createPolicy('witnessmark', {})),
    ];
  });
  expect(refused).toEqual(['TypeError', 'TypeError', 'TypeError']);
});

test('the phone is asked to keep what is put down once there is something, and its answer is shown', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee);
  await opened(p, attempt.path);
  await expect(p.page.locator('#room')).toContainText('is kept on this phone until it is received');
  await typed(p.page, new Deeds(), 'qv', '12.4');
  const promised = await p.page.evaluate(() => navigator.storage.persisted());
  await expect(p.page.locator('#room')).toContainText(promised ? 'has promised to keep' : /has promised to keep|may clear what is kept here/);
});

test('with text at 200 % on 320 px nothing is cut off, and what is touched is 44 px high', async ({ attempt, phone }) => {
  const p = await phone(attempt.trainee, { viewport: { width: 320, height: 700 } });
  await p.page.goto(attempt.path);
  const small = await p.page.evaluate(() => Array.from(document.querySelectorAll<HTMLElement>('main :is(a[href^="#"].button, button, summary, select, textarea, input:not([type=hidden], [type=checkbox], [type=radio], [type=file])), main label:is(.tick, .button), .head :is(a, button)'))
    .filter((e) => e.offsetParent && e.getBoundingClientRect().height < 43.5 && !e.closest('.nojs')).map((e) => `${e.outerHTML.slice(0, 80)} ${e.getBoundingClientRect().height}`));
  expect(small).toEqual([]);
  await p.page.evaluate(() => {
    document.querySelectorAll('details').forEach((d) => { d.open = true; });
    document.documentElement.style.fontSize = '200%';
  });
  const cut = await p.page.evaluate(() => [
    ...(document.documentElement.scrollWidth > document.documentElement.clientWidth ? ['the page goes sideways'] : []),
    ...Array.from(document.querySelectorAll<HTMLElement>('main *, .head *')).filter((e) => {
      const s = getComputedStyle(e);
      return e.offsetParent && !e.closest('.unseen, svg') && s.clipPath === 'none' && s.overflowX !== 'auto' && s.overflowX !== 'visible' && s.textOverflow !== 'ellipsis' && e.scrollWidth > e.clientWidth + 1 && !/INPUT|TEXTAREA|SELECT/.test(e.tagName);
    }).map((e) => e.outerHTML.slice(0, 100)),
  ]);
  expect(cut).toEqual([]);
});

// WCAG 2.2, success criterion 1.4.6: the page is read in the sun.
for (const colorScheme of ['light', 'dark'] as const) {
  test(`text on the page that is filled in stands out 7 to 1, in ${colorScheme}`, async ({ attempt, phone }) => {
    const p = await phone(attempt.trainee, { colorScheme });
    await p.page.goto(attempt.path);
    await p.page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = true; }));
    const { violations, passes } = await new AxeBuilder({ page: p.page }).withRules(['color-contrast-enhanced']).analyze();
    expect(violations.flatMap((v) => v.nodes.map((n) => `${n.target} ${n.any.map((a) => a.message)}`))).toEqual([]);
    expect(passes[0].nodes.length).toBeGreaterThan(50);
  });
}
