import { fileURLToPath } from 'node:url';
import { defineConfig, type Plugin } from 'vite';

/**
 * The kernel's glue asks for Node's `module` on its Node path only. In the browser that path is never taken: an empty
 * stand-in keeps the build quiet about it.
 */
const withoutNode: Plugin = {
  name: 'without-node',
  enforce: 'pre',
  resolveId: (id) => (id === 'module' ? '\0without-node' : null),
  load: (id) => (id === '\0without-node' ? 'export {};' : null),
};

const page = (name: string): string => fileURLToPath(new URL(name, import.meta.url));

/**
 * Relative base: the built page works under any path. Nothing is inlined as a data URL, because the page's policy
 * (`connect-src 'self'`) would refuse to read it. Workers are ES modules: the map library's own worker is one.
 */
export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  base: './',
  plugins: [withoutNode],
  build: {
    outDir: 'dist',
    emptyOutDir: true,
    target: 'es2023',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 1500,
    rolldownOptions: { checks: { pluginTimings: false }, input: ['index.html', 'portfolio.html'].map(page) },
  },
  // The planner's worker writes papers in every language, so nothing of the wording is split off there.
  worker: {
    format: 'es',
    plugins: () => [withoutNode],
    rolldownOptions: { checks: { ineffectiveDynamicImport: false } },
  },
});
