// The tests in a real browser, against the demonstration centre on a PostgreSQL of its own.
import { defineConfig } from '@playwright/test';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { dataFolder, launch, port, program } from './settings.js';

const data = join(dataFolder(), 'centre');

export default defineConfig({
  testDir: '.',
  outputDir: process.env.WITNESSMARK_E2E_PORT ? join(dataFolder(), 'test-results') : 'test-results', // another's run would clear it
  timeout: 180_000,
  expect: { timeout: 15_000 },
  workers: Math.ceil(1.5 * availableParallelism()), // each waits for most of its time
  fullyParallel: true,
  forbidOnly: true,
  retries: 1, // is listed as flaky; its second go is traced. What is there to find a loss has none: once is too often
  projects: [
    { name: 'desk', testIgnore: ['phone-*', 'every-page*', 'bench/**', 'unit/**'] },
    { name: 'phone', testMatch: 'phone-*.spec.ts' },
    { name: 'every page', testMatch: 'every-page.spec.ts', dependencies: ['desk', 'phone'] }, // of what the others looked at
  ],
  reporter: [['list']],
  use: {
    baseURL: `http://127.0.0.1:${port}`,
    trace: { mode: 'on-first-retry', screenshots: false, sources: false }, // tracing every case takes a fifth of the processor; --trace on shows any
    actionTimeout: 20_000,
    launchOptions: launch,
  },
  webServer: {
    command: `${program} demo --port ${port} --data ${data}`,
    url: `http://127.0.0.1:${port}/sign-in`,
    timeout: 300_000, // it is filled beside whatever Go tests meanwhile
    reuseExistingServer: !process.env.CI,
    gracefulShutdown: { signal: 'SIGINT', timeout: 20_000 },
    stdout: 'pipe',
    env: { DATABASE_URL: '', MIGRATE_DATABASE_URL: '' },
  },
});
