// Node starts a worker without the loader of its parent: register one here, then run the TypeScript that the parent names.
import { workerData } from 'node:worker_threads';
import './load-typescript.mjs';

await import(workerData.program);
