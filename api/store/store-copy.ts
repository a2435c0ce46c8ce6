import { closeSync, copyFileSync, fsyncSync, openSync, renameSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import type Libsql from 'libsql';
import { APPLICATION_ID } from './geopackage.ts';
import { MIGRATION_IDS } from './migrate.ts';

const open = createRequire(import.meta.url)('libsql') as typeof Libsql;

/** Copies a SQLite store as it is at this moment, whoever writes to it (https://www.sqlite.org/lang_vacuum.html#vacuum_with_an_into_clause). */
export function copyStore(store: string, to: string): void {
  const database = new open(store);
  try {
    database.exec('pragma busy_timeout = 5000');
    database.prepare('vacuum into ?').run([to]);
  } finally {
    database.close();
  }
  flush(to);
}

/** Throws one line where a file is no whole store, or one of a newer version of this program. */
export function checkCopy(file: string): void {
  const database = new open(file, { readonly: true });
  try {
    const faults = database.prepare('pragma integrity_check').all([]).map(firstColumn);
    if (faults[0] !== 'ok') throw new Error(faults.slice(0, 3).join('; '));
    if (firstColumn(database.prepare('pragma application_id').get([])) !== APPLICATION_ID) throw new Error('no store');
    const steps = database.prepare('select id from migration').all([]).map(firstColumn);
    const unknown = steps.find((id) => !MIGRATION_IDS.includes(String(id)));
    if (unknown !== undefined) throw new Error(`made by a newer version of this program (step ${String(unknown)})`);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new Error(`"${file}" is no store that can be used: ${why}`);
  } finally {
    database.close();
  }
}

/** Puts a copy in the place of a store that nobody has open; the store itself moves to `before`. Stopped anywhere, one of both is whole. */
export function replaceStore(store: string, copy: string, before: string | undefined): void {
  const part = `${store}.part`;
  copyFileSync(copy, part);
  flush(part);
  if (before !== undefined) {
    copyStore(store, before);
    for (const log of ['-wal', '-shm']) rmSync(`${store}${log}`, { force: true });
  }
  renameSync(part, store);
}

function firstColumn(row: unknown): unknown {
  return typeof row === 'object' && row !== null ? Object.values(row)[0] : undefined;
}

function flush(file: string): void {
  const handle = openSync(file, 'r+');
  fsyncSync(handle);
  closeSync(handle);
}
