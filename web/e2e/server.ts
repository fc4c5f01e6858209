// A server of a test's own, on the same database and evidence as the others', that can be killed as nothing else can.
import { execFile, spawn, type ChildProcess } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { dataFolder, program } from './settings.js';

const running = promisify(execFile);

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

  private constructor(readonly port: number, private data: string, private ahead = 0) {}

  static async start(data = join(dataFolder(), 'centre'), ahead = 0): Promise<OwnServer> {
    const s = new OwnServer(await freePort(), data, ahead);
    await s.start();
    return s;
  }

  get origin() { return `http://127.0.0.1:${this.port}`; }

  /** Starts it and waits until it answers. */
  async start() {
    const env = { PATH: process.env.PATH, HOME: this.data };
    this.process = this.ahead
      ? spawn(program, ['demo', '--ahead', `${this.ahead}`, '--port', `${this.port}`, '--data', this.data], { env, stdio: ['ignore', 'ignore', 'pipe'] })
      : spawn(program, ['serve', '--listen', `127.0.0.1:${this.port}`, '--data', this.data], { env: { ...env, DATABASE_URL: database(this.data) }, stdio: ['ignore', 'ignore', 'pipe'] });
    let said = '';
    this.process.stderr!.on('data', (d) => { said = (said + d).slice(-4000); });
    for (;;) {
      if (this.process.exitCode !== null) throw new Error(`the server ended by itself: ${said}`);
      if (await fetch(`http://127.0.0.1:${this.port}/sign-in`).then((r) => r.ok, () => false)) return;
      await new Promise((done) => setTimeout(done, 20));
    }
  }

  /** Kills it where it stands. */
  kill() { return this.end('SIGKILL'); }

  /** Stops it as a person does, along with a PostgreSQL that it started. */
  stop() { return this.end('SIGINT'); }

  private async end(signal: NodeJS.Signals) {
    const gone = new Promise((done) => this.process.once('exit', done));
    if (this.process.exitCode === null && this.process.signalCode === null && this.process.kill(signal)) await gone;
  }
}

/** Runs a command of the program on a data folder, and fails as it does. */
export async function command(data: string, ...args: string[]): Promise<string> {
  const { stdout } = await running(program, [...args, '--data', data], { env: { PATH: process.env.PATH, HOME: data } });
  return stdout;
}

/** A copy of the running demonstration under a name: a backup brought back, whose clock may go ahead without anybody else's. */
export async function copyOfCentre(name: string): Promise<string> {
  const [centre, copy, backup] = ['centre', name, `${name}-backup`].map((d) => join(dataFolder(), d));
  mkdirSync(copy, { mode: 0o711 });
  writeFileSync(join(copy, 'demonstration'), 'complete\n'); // what it is a copy of is one
  // The keys first: what was signed last is then in the backup as well.
  await running('cp', ['-a', join(centre, 'keys'), copy]);
  await command(centre, 'backup', backup);
  await command(copy, 'restore', backup);
  return copy;
}
