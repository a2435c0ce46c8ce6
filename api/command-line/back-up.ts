import { existsSync, renameSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { type Environment, readConfig } from '#api/read-config.ts';
import { STORE_FILE, type StoreSettings } from '#api/store/open-store.ts';
import { checkCopy, copyStore } from '#api/store/store-copy.ts';
import { runPostgresProgram } from './run-postgres-program.ts';

const HELP = `Copies everything that is kept into one file, while the service runs.

  npm run backup -- FILE

FILE must not exist yet. From the SQLite store it is a GeoPackage like the store itself; from PostgreSQL (DATABASE_URL) an archive of pg_dump.
`;

/** Copies what is kept into a new file and checks the copy; returns the exit code. Throws one line where it cannot. */
export function backUp(args: readonly string[], environment: Environment, print: (text: string) => void): number {
  const [file, ...others] = args;
  if (file === undefined || others.length > 0 || file.startsWith('-')) {
    print(HELP);
    return 2;
  }
  if (existsSync(file)) throw new Error(`"${file}" exists already: name a new file`);
  // Whoever finds FILE finds all of it: it gets its name when it is whole.
  const part = `${file}.part`;
  rmSync(part, { force: true });
  saveTo(part, readConfig(environment, 1).store);
  renameSync(part, file);
  print(`${file}: ${statSync(file).size} bytes\n`);
  return 0;
}

function saveTo(file: string, { dataFolder, databaseUrl }: StoreSettings): void {
  if (databaseUrl !== undefined) {
    runPostgresProgram('pg_dump', ['--format=custom', `--file=${file}`], databaseUrl);
    return;
  }
  const store = join(dataFolder, STORE_FILE);
  if (!existsSync(store)) throw new Error(`there is no store in "${dataFolder}" (LOOPWRIGHT_DATA)`);
  copyStore(store, file);
  checkCopy(file);
}
