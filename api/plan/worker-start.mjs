// Node starts a worker without the loader of its parent: register it here, then run the TypeScript.
import { register } from 'tsx/esm/api';

register();
await import('./plan-worker.ts');
