import { test, expect, jpeg, photo } from './phone.js';

test('the helpers hold: a phone opens its own attempt, is killed, and opens it again', async ({ centre, attempt, phone, line }) => {
  const p = await phone(attempt.trainee);
  await p.page.goto(attempt.path);
  await expect(p.page.getByRole('heading', { level: 1 })).toContainText('Bay 7');
  expect(line.log.some((s) => s.path === attempt.path && s.status === 200)).toBe(true);
  expect(photo(300_000, 1)).toHaveLength(300_000);
  await p.page.locator('#item-before input[type=file]').last().setInputFiles([jpeg('a.jpg', photo(300_000, 1))]);
  await expect(p.page.locator('#files-before img, #files-before a')).not.toHaveCount(0);
  await p.kill();
  await p.open();
  await p.page.goto(attempt.path);
  await expect(p.page.getByRole('heading', { level: 1 })).toContainText('Bay 7');
  expect((await centre.sheet(attempt)).stages[0].items[0].files).toHaveLength(1);
});
