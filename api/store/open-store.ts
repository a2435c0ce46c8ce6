import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Queue, tableQueue } from '#api/queue/queue.ts';
import { type BookStore, bookStore } from './books.ts';
import type { Database } from './database.ts';
import { type FeatureStore, featureStore } from './features.ts';
import { publishGeoPackage } from './geopackage.ts';
import { lockFolder } from './lock-folder.ts';
import { migrate } from './migrate.ts';
import { type PlanStore, planStore } from './plans.ts';
import { type PortfolioStore, portfolioStore } from './portfolios.ts';
import { postgresDatabase } from './postgres-database.ts';
import { type SiteStore, siteStore } from './sites.ts';
import { sqliteDatabase } from './sqlite-database.ts';
import { type TenantStore, tenantStore } from './tenants.ts';

/** Everything that is kept. */
export type Store = {
  readonly database: Database;
  readonly features: FeatureStore;
  readonly sites: SiteStore;
  readonly plans: PlanStore;
  readonly portfolios: PortfolioStore;
  readonly books: BookStore;
  readonly tenants: TenantStore;
  readonly queue: Queue;
  readonly close: () => Promise<void>;
};

export type StoreSettings = {
  readonly dataFolder: string;
  /** PostgreSQL instead of a file of our own. */
  readonly databaseUrl?: string | undefined;
};

export type StoreWorld = {
  /** ISO 8601 in UTC with milliseconds, so that text compares like time. */
  readonly now: () => string;
  readonly newId: () => string;
  readonly onLost: (error: Error) => void;
};

export const STORE_FILE = 'loopwright.gpkg';

/** Opens the store, made and brought up to date where needed; throws one line where it cannot. */
export async function openStore({ dataFolder, databaseUrl }: StoreSettings, world: StoreWorld): Promise<Store> {
  if (databaseUrl !== undefined) return ready(postgresDatabase(databaseUrl, world.onLost), world, () => undefined);
  mkdirSync(dataFolder, { recursive: true });
  const unlock = lockFolder(dataFolder);
  try {
    return await ready(sqliteDatabase(join(dataFolder, STORE_FILE)), world, unlock);
  } catch (error) {
    unlock();
    throw error;
  }
}

async function ready(database: Database, { now, newId }: StoreWorld, unlock: () => void): Promise<Store> {
  await migrate(database, now());
  if (database.dialect === 'sqlite') {
    await publishGeoPackage(database);
    // GIS reads the file's kind from its first bytes, not from the log beside it.
    await database.read('pragma wal_checkpoint(truncate)');
  }
  return {
    database,
    features: featureStore(database),
    sites: siteStore(database, now),
    plans: planStore(database, now),
    portfolios: portfolioStore(database),
    books: bookStore(database, now),
    tenants: tenantStore(database, now, newId),
    queue: tableQueue(database, now),
    async close() {
      await database.close();
      unlock();
    },
  };
}
