import pg from 'pg';
import type { Database, Row, SqlValue } from './database.ts';

const CONNECTIONS_MAX = 8;
const CONNECT_MS_MAX = 5_000;

/** A PostgreSQL database (15 or newer), by its connection address. */
export function postgresDatabase(url: string, onLost: (error: Error) => void): Database {
  const pool = new pg.Pool({
    connectionString: url,
    max: CONNECTIONS_MAX,
    connectionTimeoutMillis: CONNECT_MS_MAX,
    application_name: 'loopwright',
  });
  // A connection that breaks while nobody uses it: the pool replaces it.
  pool.on('error', onLost);
  return {
    dialect: 'postgres',
    read: (sql, values = []) => run(pool, sql, values),
    async write(statements) {
      const client = await pool.connect();
      try {
        await client.query('begin');
        const results: Row[][] = [];
        for (const { sql, values = [], mustTouch = false } of statements) {
          const rows = await run(client, sql, values);
          if (mustTouch && rows.length === 0) {
            await client.query('rollback');
            return undefined;
          }
          results.push(rows);
        }
        await client.query('commit');
        return results;
      } catch (error) {
        await client.query('rollback');
        throw error;
      } finally {
        client.release();
      }
    },
    async check() {
      await run(pool, 'select 1 as one', []);
    },
    close: () => pool.end(),
  };
}

async function run(client: Pick<pg.Pool, 'query'>, sql: string, values: readonly SqlValue[]): Promise<Row[]> {
  let count = 0;
  const numbered = sql.replaceAll('?', () => `$${++count}`);
  const { rows } = await client.query<Row>(
    numbered,
    values.map((value) => (value instanceof Uint8Array ? Buffer.from(value) : value)),
  );
  return rows;
}
