// The figures of the phone, measured in one run: `make bench-web`.
import { defineConfig } from '@playwright/test';
import tests from './playwright.config.js';

export default defineConfig({ ...tests, testDir: 'bench', projects: undefined, retries: 0, timeout: 900_000, workers: 1, fullyParallel: false, reporter: [['list']], use: { ...tests.use, trace: 'off' } });
