// Seeded random faults: RUNS of them, ten unless it is told otherwise, with seeds from SEED on, or new ones.
import { mkdtempSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Centre } from './centre.js';
import { run, type Outcome } from './faults.js';
import { expect, Phone, test } from './phone.js';
import type { Recorder, Trouble } from './recorder.js';
import { OwnServer } from './server.js';
import { dataFolder } from './settings.js';

test.describe.configure({ retries: 0 }); // a loss seen once is a loss

const runs = Number(process.env.RUNS ?? 10);
process.env.SEED ||= String(Math.floor(Math.random() * 1e9)); // workers have it from the first process
const seed = Number(process.env.SEED);
const each = 5;

/** One run on a phone of its own. */
async function once(centre: Centre, line: Recorder, server: OwnServer, s: number, always: Trouble[] = []): Promise<Outcome> {
  const attempt = await centre.attempt(await centre.newTrainee());
  const phone = new Phone(line.origin, mkdtempSync(join(dataFolder(), 'phone-')), attempt.trainee);
  await phone.open();
  const outcome = await run({ centre, line, server, phone, always }, attempt, s);
  await phone.close();
  rmSync(phone.folder, { recursive: true, force: true });
  outcome.wrong.push(...phone.troubles);
  return outcome;
}

for (let from = 0; from < runs; from += each) {
  const seeds = Array.from({ length: Math.min(each, runs - from) }, (_, i) => seed + from + i);
  test(`random faults, seeds ${seeds[0]} to ${seeds.at(-1)}: 0 lost, 0 double`, async ({ centre, line }) => {
    test.setTimeout(120_000 * seeds.length);
    const server = await OwnServer.start();
    line.to(server.port);
    try {
      for (const s of seeds) {
        const { wrong, steps } = await once(centre, line, server, s);
        expect(wrong, `SEED=${s} RUNS=1 does it again: ${steps.join(', ')}`).toEqual([]);
      }
    } finally {
      await server.kill();
    }
  });
}

test('random faults find a server that acknowledges what it never kept', async ({ centre, line }) => {
  const server = await OwnServer.start();
  line.to(server.port);
  try {
    const lie: Trouble = (seen) => (seen.path.endsWith('/entries') ? { kind: 'answer', status: 204, headers: { 'witnessmark-time': String(Date.now()) } } : undefined);
    // A run of few steps may type nothing at all; another then does.
    for (let s = 1; ; s++) {
      const { wrong, steps } = await once(centre, line, server, s, [lie]);
      if (!steps.some((step) => step.startsWith('type'))) continue;
      expect(wrong.filter((w) => w.startsWith('lost: ')).length, steps.join(', ')).toBeGreaterThan(0);
      return;
    }
  } finally {
    await server.kill();
  }
});
