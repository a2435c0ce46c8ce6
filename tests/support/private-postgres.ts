import { execFileSync } from 'node:child_process';
import { chownSync, existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const INSTALLED = '/usr/lib/postgresql';

type PrivatePostgres = { readonly url: string; readonly stop: () => void };

/** Folder of PostgreSQL's programs (Debian's place for them), or undefined where it is not installed. */
export function postgresPrograms(): string | undefined {
  if (!existsSync(INSTALLED)) return undefined;
  const newest = readdirSync(INSTALLED)
    .map(Number)
    .filter(Number.isInteger)
    .toSorted((a, b) => b - a)
    .find((version) => existsSync(join(INSTALLED, String(version), 'bin', 'initdb')));
  return newest === undefined ? undefined : join(INSTALLED, String(newest), 'bin');
}

/** A cluster of our own in a folder that is thrown away: no port, only a socket in that folder; as a user that is not root. */
export function startPostgres(programs: string): PrivatePostgres {
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-pg-'));
  const owner = process.getuid?.() === 0 ? unprivileged() : undefined;
  if (owner !== undefined) chownSync(folder, owner.uid, owner.gid);
  const run = (program: string, ...args: string[]) =>
    execFileSync(join(programs, program), args, { ...owner, cwd: folder, stdio: ['ignore', 'ignore', 'pipe'] });
  const data = join(folder, 'data');
  run('initdb', '-D', data, '-U', 'postgres', '-A', 'trust', '--no-locale', '-E', 'UTF8', '--no-sync');
  const options = `-c listen_addresses='' -c unix_socket_directories='${folder}' -c max_connections=30`;
  run('pg_ctl', '-D', data, '-w', '-l', join(folder, 'log'), '-o', options, 'start');
  return {
    url: `postgres://postgres@${encodeURIComponent(folder)}/postgres`,
    stop() {
      run('pg_ctl', '-D', data, '-w', '-m', 'immediate', 'stop');
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** The user that Debian makes for PostgreSQL, else nobody. */
function unprivileged(): { uid: number; gid: number } {
  const ask = (flag: string, user: string) =>
    Number(execFileSync('id', [flag, user], { stdio: ['ignore', 'pipe', 'ignore'] }).toString());
  for (const user of ['postgres', 'nobody']) {
    try {
      return { uid: ask('-u', user), gid: ask('-g', user) };
    } catch {
      // No such user: try the next.
    }
  }
  throw new Error('PostgreSQL refuses to run as root, and there is no user "nobody" to run it as');
}
