// Where the tests' centre runs, and the browser that they use. Several runs can go beside one another, each with a port and a
// data folder of its own.
import { chmodSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export const port = Number(process.env.WITNESSMARK_E2E_PORT ?? 8471);
export const program = process.env.WITNESSMARK_E2E_PROGRAM ?? '../../bin/witnessmark';
export const password = 'bay-seven-demo';

/** The folder for everything that a run makes. Every worker loads this file; only the first may make the folder. */
export function dataFolder(): string {
  if (!process.env.WITNESSMARK_E2E_DATA) {
    process.env.WITNESSMARK_E2E_DATA = mkdtempSync(join(tmpdir(), 'witnessmark-e2e-'));
    // Root's PostgreSQL runs as another account, which has to get through it.
    chmodSync(process.env.WITNESSMARK_E2E_DATA, 0o755);
  }
  return process.env.WITNESSMARK_E2E_DATA;
}

// Chromium without its window: the same engine and storage at half the work for the processor.
export const launch = {
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium-headless-shell',
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--no-first-run'],
};

/** A phone of middle size, held upright. */
export const phoneProfile = { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, isMobile: true, hasTouch: true };
