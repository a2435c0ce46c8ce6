import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { type Environment, readConfig } from '#api/read-config.ts';
import { lockFolder } from '#api/store/lock-folder.ts';
import { STORE_FILE } from '#api/store/open-store.ts';
import { checkCopy, replaceStore } from '#api/store/store-copy.ts';
import { runPostgresProgram } from './run-postgres-program.ts';

const HELP = `Brings back what npm run backup saved. What is kept now is saved beside it first; the service must not run meanwhile.

  npm run restore -- FILE
`;

/** Puts a saved file in the place of the store, which is kept beside it; returns the exit code. Throws one line where it cannot. */
export function restore(
  args: readonly string[],
  environment: Environment,
  print: (text: string) => void,
  now: () => Date,
): number {
  const [file, ...others] = args;
  if (file === undefined || others.length > 0 || file.startsWith('-')) {
    print(HELP);
    return 2;
  }
  if (!existsSync(file)) throw new Error(`there is no file "${file}"`);
  const { dataFolder, databaseUrl } = readConfig(environment, 1).store;
  const at = now().toISOString().replaceAll(/[:.]/g, '-');
  if (databaseUrl !== undefined) {
    const before = `${file}.before-${at}`;
    runPostgresProgram('pg_dump', ['--format=custom', `--file=${before}`], databaseUrl);
    const how = ['--clean', '--if-exists', '--no-owner', '--single-transaction', '--exit-on-error'];
    runPostgresProgram('pg_restore', [...how, file], databaseUrl);
    print(`restored; what was there before is in ${before}\n`);
    return 0;
  }
  checkCopy(file);
  const unlock = lockFolder(dataFolder);
  try {
    const store = join(dataFolder, STORE_FILE);
    const before = existsSync(store) ? `${store}.before-${at}` : undefined;
    replaceStore(store, file, before);
    print(before === undefined ? 'restored\n' : `restored; what was there before is in ${before}\n`);
  } finally {
    unlock();
  }
  return 0;
}
