import { mkdirSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import type Libsql from 'libsql';

const open = createRequire(import.meta.url)('libsql') as typeof Libsql;

/**
 * Makes a data folder ours alone, for as long as this process lives: two writers on one file would hinder each other. Returns how to
 * let go of it; throws one line where another process holds it. The lock is a file lock of the operating system (through SQLite), so
 * that it never outlives its process.
 */
export function lockFolder(folder: string): () => void {
  mkdirSync(folder, { recursive: true });
  const lock = new open(join(folder, 'in-use'));
  try {
    lock.exec('pragma busy_timeout = 0; begin exclusive');
  } catch (error) {
    lock.close();
    if (!(error instanceof Error && 'code' in error && error.code === 'SQLITE_BUSY')) throw error;
    throw new Error(
      `LOOPWRIGHT_DATA="${folder}" is in use by another process: stop it, name another folder, or use PostgreSQL (DATABASE_URL)`,
    );
  }
  return () => {
    lock.exec('rollback');
    lock.close();
  };
}
