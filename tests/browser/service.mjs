// A home of its own with the program's service running on it; gone when the test ends.
import { spawn, execFile } from 'node:child_process';
import { mkdtemp, rm, writeFile, mkdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';

const program = process.env.LOAMLINE_PROGRAM ?? join(import.meta.dirname, '../../target/debug/loamline');

/** The day the pages are looked at: after the last report of the invented firm. */
export const DAY = '2026-11-25';

const run = promisify(execFile);

/** Starts a service. With `demo`, its home holds the invented reports already. */
export async function service({ demo = false, settings = '', password } = {}) {
  const root = await mkdtemp(join(tmpdir(), 'loamline-browser-'));
  const home = join(root, 'home');
  if (demo) {
    await run(program, ['--home', home, '--as-of', DAY, 'demo'], { timeout: 300_000 });
  } else {
    await mkdir(home);
    await writeFile(join(home, 'loamline.toml'), settings);
  }
  if (password) {
    const setting = run(program, ['--home', home, 'password']);
    setting.child.stdin.end(`${password}\n`);
    await setting;
  }
  const child = spawn(program, ['--home', home, '--as-of', DAY, 'serve', '--listen', '127.0.0.1:0']);
  let log = '';
  const address = await new Promise((found, failed) => {
    const said = (bytes) => {
      log += bytes;
      const there = /http:\/\/127\.0\.0\.1:\d+/.exec(log);
      if (there) found(there[0]);
    };
    child.stdout.on('data', said);
    child.stderr.on('data', said);
    child.on('error', failed);
    child.on('exit', () => failed(new Error(`the service ended: ${log}`)));
    setTimeout(() => failed(new Error(`the service did not start: ${log}`)), 120_000).unref();
  });
  return {
    address,
    home,
    root,
    log: () => log,
    async run(...args) {
      const { stdout } = await run(program, ['--home', home, '--as-of', DAY, ...args]);
      return stdout;
    },
    async end() {
      child.removeAllListeners('exit');
      const over = new Promise((done) => child.once('exit', done));
      child.kill('SIGTERM');
      await over;
      await rm(root, { recursive: true, force: true });
    },
  };
}
