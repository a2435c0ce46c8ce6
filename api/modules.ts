import type { Module } from './app.ts';
import { clientModule } from './client/client.module.ts';
import { commonModule } from './common/common.module.ts';
import { planModule } from './plan/plan.module.ts';

/** The building blocks of the service, one line each. The client comes last: it answers whatever file is asked for. */
export const MODULES: readonly Module[] = [commonModule, planModule, clientModule];
