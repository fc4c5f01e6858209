// The main job in a real browser, against the demonstration centre on a PostgreSQL of its own.
import { defineConfig } from '@playwright/test';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const port = 8471;
// Playwright loads this file in every worker; only the first may make the folder.
process.env.WITNESSMARK_E2E_DATA ??= mkdtempSync(join(tmpdir(), 'witnessmark-e2e-'));

export default defineConfig({
  testDir: '.',
  timeout: 120_000,
  workers: 1,
  forbidOnly: true,
  reporter: [['list']],
  use: {
    baseURL: `http://127.0.0.1:${port}`,
    trace: 'retain-on-failure',
    launchOptions: {
      executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
      args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--no-first-run'],
    },
  },
  webServer: {
    command: `../../bin/witnessmark demo --port ${port} --data ${join(process.env.WITNESSMARK_E2E_DATA, 'centre')}`,
    url: `http://127.0.0.1:${port}/sign-in`,
    timeout: 120_000,
    gracefulShutdown: { signal: 'SIGINT', timeout: 20_000 },
    stdout: 'pipe',
    env: { DATABASE_URL: '', MIGRATE_DATABASE_URL: '' },
  },
});
