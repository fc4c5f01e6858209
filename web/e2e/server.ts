// A server of a test's own, on the same database and evidence as the others', that can be killed as nothing else can.
import { spawn, type ChildProcess } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { join } from 'node:path';
import { dataFolder, program } from './settings.js';

/** The database of the running demonstration, by the record that its PostgreSQL keeps of itself (pidfile.h, line 5). */
function database(data: string): string {
  const socket = readFileSync(join(data, 'postgresql', 'data', 'postmaster.pid'), 'utf8').split('\n')[4];
  return `postgres://witnessmark_app@/postgres?${new URLSearchParams({ host: socket, port: '5432', sslmode: 'disable' })}`;
}

async function freePort(): Promise<number> {
  const s = createServer();
  await new Promise<void>((done) => s.listen(0, '127.0.0.1', done));
  const { port } = s.address() as AddressInfo;
  await new Promise((done) => s.close(done));
  return port;
}

export class OwnServer {
  private process!: ChildProcess;

  private constructor(readonly port: number, private data: string) {}

  static async start(data = join(dataFolder(), 'centre')): Promise<OwnServer> {
    const s = new OwnServer(await freePort(), data);
    await s.start();
    return s;
  }

  /** Starts it and waits until it answers. */
  async start() {
    this.process = spawn(program, ['serve', '--listen', `127.0.0.1:${this.port}`, '--data', this.data], {
      env: { PATH: process.env.PATH, HOME: this.data, DATABASE_URL: database(this.data) }, stdio: ['ignore', 'ignore', 'pipe'],
    });
    let said = '';
    this.process.stderr!.on('data', (d) => { said = (said + d).slice(-4000); });
    for (;;) {
      if (this.process.exitCode !== null) throw new Error(`the server ended by itself: ${said}`);
      if (await fetch(`http://127.0.0.1:${this.port}/sign-in`).then((r) => r.ok, () => false)) return;
      await new Promise((done) => setTimeout(done, 20));
    }
  }

  /** Kills it where it stands. */
  async kill() {
    const gone = new Promise((done) => this.process.once('exit', done));
    if (this.process.exitCode === null && this.process.signalCode === null && this.process.kill('SIGKILL')) await gone;
  }
}
