// Everything that a phone shows, looked at by axe in light and dark on a small phone, a tablet and a laptop, and by Lighthouse.
import { createServer, type AddressInfo } from 'node:net';
import { clean, scores } from './look.js';
import { expect, photo, test } from './phone.js';
import { Deeds } from './oracle.js';
import { take, type } from './work.js';

for (const colorScheme of ['light', 'dark'] as const) {
  test(`axe finds nothing on a trainee's pages in ${colorScheme}`, async ({ centre, phone }) => {
    test.setTimeout(300_000); // twelve looks, each some seconds where the processor is shared
    const trainee = await centre.newTrainee();
    const planned = await centre.attempt(trainee, { planned: true });
    const attempt = await centre.attempt(trainee);
    const p = await phone(trainee, { colorScheme, isMobile: false });
    await p.visit(attempt.path);
    await type(p.page, new Deeds(), 'qv', '12.4');
    await take(p.page, new Deeds(), 'before', [photo(60_000, 1)]);
    await p.settled();
    await p.offline();
    await type(p.page, new Deeds(), 'qv', '1.234'); // kept, not received
    await take(p.page, new Deeds(), 'before', [photo(60_000, 2)]);
    for (const width of [320, 768, 1280]) {
      await p.page.setViewportSize({ width, height: 900 });
      await clean(p.page, `the attempt at ${width}`);
    }
    await p.page.goto('/bench').catch(() => undefined);
    await expect(p.page.getByRole('heading', { level: 1 })).toBeVisible();
    for (const width of [320, 768, 1280]) {
      await p.page.setViewportSize({ width, height: 900 });
      await clean(p.page, `no signal at ${width}`);
    }
    await p.offline(false);
    for (const path of ['/tasks', planned.path]) {
      await p.page.goto(path);
      for (const width of [320, 768, 1280]) {
        await p.page.setViewportSize({ width, height: 900 });
        await clean(p.page, `${path} at ${width}`);
      }
    }
  });

  test(`axe finds nothing on the page for releases on the spot in ${colorScheme}`, async ({ centre, phone, attempt: _ }) => {
    const p = await phone(await centre.person('ellingham'), { colorScheme, isMobile: false });
    await p.page.goto('/on-the-spot');
    await expect(p.page.getByRole('heading', { level: 1 })).toBeVisible();
    for (const width of [320, 768, 1280]) {
      await p.page.setViewportSize({ width, height: 900 });
      await clean(p.page, `on the spot at ${width}`);
    }
  });
}

test('Lighthouse gives the attempt 100 for accessibility and for best practice', async ({ attempt, phone, line }) => {
  const port = await new Promise<number>((done) => {
    const s = createServer().listen(0, '127.0.0.1', () => { const { port } = s.address() as AddressInfo; s.close(() => done(port)); });
  });
  await phone(attempt.trainee, { args: [`--remote-debugging-port=${port}`] });
  const { scores: got, failed } = await scores(line.origin + attempt.path, port, ['accessibility', 'best-practices']);
  expect(failed).toEqual([]);
  expect(got).toEqual({ accessibility: 100, 'best-practices': 100 });
});
