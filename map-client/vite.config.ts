import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';

/**
 * Relative base: the built page works under any path. Nothing is inlined as a data URL, because the page's policy
 * (`connect-src 'self'`) would refuse to read it. Workers are ES modules: the map library's own worker is one.
 */
export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  base: './',
  publicDir: 'public',
  build: {
    outDir: 'dist',
    emptyOutDir: true,
    target: 'es2023',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 1500,
  },
  worker: { format: 'es' },
});
