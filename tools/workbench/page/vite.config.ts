import { defineConfig } from "vite";

// scripts/build names the folder: vite build --outDir FOLDER.
export default defineConfig({
  base: "/",
  esbuild: { jsx: "automatic", jsxImportSource: "preact" },
  build: { target: "es2021", emptyOutDir: true, assetsInlineLimit: 0, modulePreload: { polyfill: false } },
});
