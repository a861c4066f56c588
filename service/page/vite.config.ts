import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { defineConfig, type Plugin } from "vite";

/** Everything that the built files depend on, in the order of their names. */
const SOURCES = [
  "index.html",
  "messages",
  "package-lock.json",
  "public",
  "src",
  "tsconfig.json",
  "vite.config.ts",
  "words.mjs",
];

function files(path: string): string[] {
  return statSync(path).isDirectory()
    ? readdirSync(path).sort().flatMap((name) => files(join(path, name)))
    : [path];
}

/**
 * Writes the hash of the sources beside what was built from them: the tests of the service
 * compare it, so that a change cannot be committed without its build, and need no Node for it.
 */
function sourcesHash(): Plugin {
  return {
    name: "sources-hash",
    generateBundle() {
      const hash = createHash("sha256");
      for (const file of SOURCES.flatMap(files)) {
        hash.update(file.replaceAll("\\", "/")).update("\0").update(readFileSync(file)).update("\0");
      }
      this.emitFile({ type: "asset", fileName: "SOURCES.sha256", source: `${hash.digest("hex")}\n` });
    },
  };
}

export default defineConfig({
  base: "./",
  build: {
    outDir: "dist",
    target: "es2022",
    modulePreload: false,
    // Fixed names: the service lists its files, and an entity tag tells old from new.
    rollupOptions: {
      output: { entryFileNames: "page.js", assetFileNames: "[name][extname]" },
    },
  },
  plugins: [sourcesHash()],
});
