// The tests in a real browser, against the demonstration centre on a PostgreSQL of its own.
import { defineConfig } from '@playwright/test';
import { join } from 'node:path';
import { dataFolder, launch, port, program } from './settings.js';

const data = join(dataFolder(), 'centre');

export default defineConfig({
  testDir: '.',
  testIgnore: ['bench/**', 'unit/**'],
  outputDir: process.env.WITNESSMARK_E2E_PORT ? join(dataFolder(), 'test-results') : 'test-results', // another's run would clear it
  timeout: 180_000,
  expect: { timeout: 15_000 },
  workers: 2,
  fullyParallel: true,
  forbidOnly: true,
  reporter: [['list']],
  use: {
    baseURL: `http://127.0.0.1:${port}`,
    trace: { mode: 'retain-on-failure', screenshots: false, sources: false }, // its snapshots show each page; pictures as well take the processor from the pages
    actionTimeout: 20_000,
    launchOptions: launch,
  },
  webServer: {
    command: `${program} demo --port ${port} --data ${data}`,
    url: `http://127.0.0.1:${port}/sign-in`,
    timeout: 120_000,
    reuseExistingServer: !process.env.CI,
    gracefulShutdown: { signal: 'SIGINT', timeout: 20_000 },
    stdout: 'pipe',
    env: { DATABASE_URL: '', MIGRATE_DATABASE_URL: '' },
  },
});
