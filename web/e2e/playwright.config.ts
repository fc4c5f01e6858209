// The main job in a real browser, against the demonstration centre on a PostgreSQL of its own.
import { defineConfig } from '@playwright/test';
import { chmodSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const port = 8471;
// Playwright loads this file in every worker; only the first may make the folder. Root's PostgreSQL runs as another
// account, which has to get through it.
if (!process.env.WITNESSMARK_E2E_DATA) {
  process.env.WITNESSMARK_E2E_DATA = mkdtempSync(join(tmpdir(), 'witnessmark-e2e-'));
  chmodSync(process.env.WITNESSMARK_E2E_DATA, 0o755);
}

export default defineConfig({
  testDir: '.',
  timeout: 180_000,
  expect: { timeout: 15_000 },
  workers: 1,
  forbidOnly: true,
  reporter: [['list']],
  use: {
    baseURL: `http://127.0.0.1:${port}`,
    trace: 'retain-on-failure',
    actionTimeout: 20_000,
    launchOptions: {
      executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
      args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--no-first-run'],
    },
  },
  webServer: {
    command: `../../bin/witnessmark demo --port ${port} --data ${join(process.env.WITNESSMARK_E2E_DATA, 'centre')}`,
    url: `http://127.0.0.1:${port}/sign-in`,
    timeout: 120_000,
    reuseExistingServer: !process.env.CI,
    gracefulShutdown: { signal: 'SIGINT', timeout: 20_000 },
    stdout: 'pipe',
    env: { DATABASE_URL: '', MIGRATE_DATABASE_URL: '' },
  },
});
