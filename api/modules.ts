import { accessModule } from './access/access.module.ts';
import type { Module } from './app.ts';
import { clientModule } from './client/client.module.ts';
import { collectionsModule } from './collections/collections.module.ts';
import { commonModule } from './common/common.module.ts';
import { faultModule } from './fault/fault.module.ts';
import { itemsModule } from './items/items.module.ts';
import { ogcModule } from './ogc/ogc.module.ts';
import { operationsModule } from './operations/operations.module.ts';
import { papersModule } from './papers/papers.module.ts';
import { planModule } from './plan/plan.module.ts';
import { portfolioModule } from './portfolio/portfolio.module.ts';
import { jobsModule } from './processes/jobs.module.ts';
import { processesModule } from './processes/processes.module.ts';
import { booksModule } from './sites/books.module.ts';
import { sitesModule } from './sites/sites.module.ts';
import { tilesModule } from './tiles/tiles.module.ts';

/** The building blocks of the service, one line each. The client comes last: it answers whatever file is asked for. */
export const MODULES: readonly Module[] = [
  commonModule,
  operationsModule,
  planModule,
  faultModule,
  ogcModule,
  collectionsModule,
  itemsModule,
  sitesModule,
  papersModule,
  booksModule,
  tilesModule,
  processesModule,
  jobsModule,
  portfolioModule,
  accessModule,
  clientModule,
];
