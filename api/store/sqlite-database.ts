import { createRequire } from 'node:module';
import type Libsql from 'libsql';
import type { Database, Row, SqlValue } from './database.ts';

const open = createRequire(import.meta.url)('libsql') as typeof Libsql;
const KEPT_STATEMENTS = 200;

/**
 * One SQLite file (libsql): write-ahead log, one connection, every commit on the disk before it is acknowledged
 * (`synchronous=FULL`, https://www.sqlite.org/pragma.html#pragma_synchronous).
 */
export function sqliteDatabase(path: string): Database {
  const file = new open(path);
  file.exec(
    'pragma journal_mode = wal; pragma synchronous = full; pragma foreign_keys = on; pragma busy_timeout = 5000',
  );
  const prepared = new Map<string, Libsql.Statement>();

  function run(sql: string, values: readonly SqlValue[]): Row[] {
    let statement = prepared.get(sql);
    if (statement === undefined) {
      statement = file.prepare(sql);
      if (prepared.size < KEPT_STATEMENTS) prepared.set(sql, statement);
    }
    const given = values.map((value) => (value instanceof Uint8Array ? Buffer.from(value) : value));
    if (statement.reader) return statement.all(given) as Row[];
    statement.run(given);
    return [];
  }

  return {
    dialect: 'sqlite',
    read: async (sql, values = []) => run(sql, values),
    async write(statements) {
      file.exec('begin immediate');
      try {
        const results: Row[][] = [];
        for (const { sql, values = [], mustTouch = false } of statements) {
          const rows = run(sql, values);
          if (mustTouch && rows.length === 0) {
            file.exec('rollback');
            return undefined;
          }
          results.push(rows);
        }
        file.exec('commit');
        return results;
      } catch (error) {
        if (file.inTransaction) file.exec('rollback');
        throw error;
      }
    },
    async check() {
      const said = run('pragma integrity_check', []).map((row) => String(row.integrity_check));
      if (said[0] !== 'ok') throw new Error(said.join('; '));
    },
    async close() {
      prepared.clear();
      file.close();
    },
  };
}
