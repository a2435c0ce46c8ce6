import { spawnSync } from 'node:child_process';

/** Runs a program of PostgreSQL on a database; throws what it says where it fails. The password is in no argument, where others could see it. */
export function runPostgresProgram(
  program: 'pg_dump' | 'pg_restore',
  args: readonly string[],
  databaseUrl: string,
): void {
  const address = new URL(databaseUrl);
  const PGPASSWORD = decodeURIComponent(address.password);
  address.password = '';
  const { status, stderr, error } = spawnSync(program, [`--dbname=${address}`, ...args], {
    encoding: 'utf8',
    env: { ...process.env, ...(PGPASSWORD !== '' && { PGPASSWORD }) },
  });
  if (error !== undefined)
    throw new Error(`${program} cannot be run (${error.message}): install PostgreSQL's client programs`);
  if (status !== 0) throw new Error(`${program}: ${stderr.trim()}`);
}
