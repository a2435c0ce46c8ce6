// Loads TypeScript where planning has to be fast: in the workers and in the benches.
import { register } from 'node:module';

process.setSourceMapsEnabled(true);
register('./typescript-hooks.mjs', import.meta.url);
