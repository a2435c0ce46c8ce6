// Node starts a worker without the loader of its parent: register it here, then run the TypeScript that the parent names.
import { workerData } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

register();
await import(workerData.program);
