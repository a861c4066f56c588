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

/** The hash of the sources. */
function sources(): string {
  const hash = createHash("sha256");
  for (const file of SOURCES.flatMap(files)) {
    hash.update(file.replaceAll("\\", "/")).update("\0").update(readFileSync(file)).update("\0");
  }
  return hash.digest("hex");
}

/**
 * Writes the hash of the sources beside what was built from them: the tests of the service
 * compare it, so that a change cannot be committed without its build, and need no Node for it.
 */
function sourcesHash(): Plugin {
  return {
    name: "sources-hash",
    generateBundle() {
      this.emitFile({ type: "asset", fileName: "SOURCES.sha256", source: `${sources()}\n` });
    },
  };
}

/** What is fetched beside the bundle, and kept where there is no network. */
const PUBLIC = ["icon.svg", "icon.png", "page.webmanifest"];

/**
 * Files keep their names, since the service lists them; the version behind each name keeps those
 * of one build together, also where some come from a cache and some over the network.
 */
function versioned(): Plugin {
  return {
    name: "versioned",
    enforce: "post",
    generateBundle(_, bundle) {
      const version = sources().slice(0, 12);
      const names = Object.keys(bundle).filter((name) => /\.(js|css)$/.test(name)).sort();
      const name = new RegExp(`\\./(${names.map((one) => one.replace(".", "\\.")).join("|")})(?=["'\`])`, "g");
      const marked = (text: string): string => text.replaceAll(name, `./$1?v=${version}`);
      for (const file of Object.values(bundle)) {
        if (file.type === "chunk") file.code = marked(file.code);
        else if (file.fileName === "index.html") file.source = marked(String(file.source));
      }
      const files = ["./", ...names.map((one) => `./${one}?v=${version}`), ...PUBLIC.map((one) => `./${one}`)];
      const worker = readFileSync("src/worker.js", "utf8");
      const source = worker.replace('"VERSION"', `"${version}"`).replace('["FILES"]', JSON.stringify(files));
      this.emitFile({ type: "asset", fileName: "worker.js", source });
    },
  };
}

export default defineConfig({
  base: "./",
  build: {
    outDir: "dist",
    target: "es2022",
    modulePreload: false,
    rollupOptions: {
      output: { entryFileNames: "page.js", chunkFileNames: "[name].js", assetFileNames: "[name][extname]" },
    },
  },
  plugins: [sourcesHash(), versioned()],
});
