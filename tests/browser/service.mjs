// Starts the built service on a free port and a browser of Debian's against it.
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const root = fileURLToPath(new URL("../..", import.meta.url));
const target = process.env.CARGO_TARGET_DIR ?? `${root}target`;
export const binary = process.env.VETPLATE_BINARY ?? `${target}/debug/vetplate`;
const shots = process.env.VETPLATE_SHOTS ?? `${target}/screenshots`;
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
mkdirSync(shots, { recursive: true });

export const photo = (name) => `${root}fixtures/photos/${name}`;
export const PHONE = { width: 360, height: 740 };
export const DESK = { width: 1280, height: 900 };

/** Starts the service; resolves once photos can be read. `arguments_` follow `serve`. */
export async function service(port = 0, arguments_ = []) {
  const child = spawn(binary, ["serve", "--listen", `127.0.0.1:${port}`, "--log-format", "json", ...arguments_], {
    stdio: ["ignore", "ignore", "pipe"],
  });
  const address = await new Promise((found, failed) => {
    child.once("exit", (code) => failed(new Error(`the service ended with ${code}`)));
    createInterface({ input: child.stderr }).on("line", (line) => {
      const said = /127\.0\.0\.1:(\d+)/.exec(line);
      if (said) found({ port: Number(said[1]) });
    });
  });
  const url = `http://127.0.0.1:${address.port}/`;
  for (;;) {
    const ready = await fetch(`${url}readyz`).catch(() => undefined);
    if (ready?.ok) break;
    await new Promise((later) => setTimeout(later, 100));
  }
  return {
    url,
    port: address.port,
    async stop() {
      const ended = new Promise((done) => child.once("exit", done));
      child.kill("SIGTERM");
      await ended;
    },
  };
}

export function browser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-dev-shm-usage"],
  });
}

/** A page of a new person, with what it complained about. */
export async function visit(running, url, options = {}) {
  const context = await running.newContext({ viewport: PHONE, locale: "en-GB", ...options });
  const page = await context.newPage();
  const complaints = [];
  page.on("console", (message) => message.type() === "error" && complaints.push(message.text()));
  page.on("pageerror", (error) => complaints.push(error.message));
  await page.goto(url);
  return { context, page, complaints };
}

/** Fills a place in by hand, as the first visit asks for it. */
export async function place(page, name, { zone, gas = "", dust = "" }) {
  await page.getByRole("button", { name: /Choose the place|Change/ }).first().click();
  await page.getByRole("button", { name: "Another place" }).click();
  await page.getByLabel("Name of the place").fill(name);
  await page.getByRole("combobox", { name: "Zone", exact: true }).selectOption(zone);
  await page.getByLabel("Gas or vapour").fill(gas);
  await page.getByLabel("Dust", { exact: true }).fill(dust);
  await page.getByRole("button", { name: "Use this place" }).click();
}

/** A new register in `folder`, with the photos that were given or none. */
export function registerIn(folder, photos = []) {
  const register = join(folder, "register.db");
  run(["import", ...photos, "--register", register]);
  return register;
}

/** Gives the page a photo as the camera would. */
export function snap(page, name) {
  return page.locator('input[type="file"][capture]').first().setInputFiles(photo(name));
}

/** The same with bytes. */
export function snapBytes(page, name, buffer, mimeType = "image/jpeg") {
  return page.locator('input[type="file"][capture]').first().setInputFiles({ name, mimeType, buffer });
}

/** A plate drawn by the browser, as PNG: lines of text on grey. */
export async function drawn(page, lines, { width = 1000, size = 44 } = {}) {
  const bytes = await page.evaluate(
    async ({ lines, width, size }) => {
      const height = 120 + lines.length * size * 2.2;
      const canvas = new OffscreenCanvas(width, height);
      const context = canvas.getContext("2d");
      context.fillStyle = "#e6e6e0";
      context.fillRect(0, 0, width, height);
      context.fillStyle = "#101010";
      context.font = `bold ${size}px 'DejaVu Sans', sans-serif`;
      lines.forEach((line, row) => context.fillText(line, 60, 60 + size + row * size * 2.2));
      const blob = await canvas.convertToBlob({ type: "image/png" });
      return [...new Uint8Array(await blob.arrayBuffer())];
    },
    { lines, width, size },
  );
  return Buffer.from(bytes);
}

/** Plates beside one another on a dark wall, drawn by the browser, as PNG. */
export async function drawnBeside(page, plates, { width = 900, size = 40 } = {}) {
  const bytes = await page.evaluate(
    async ({ plates, width, size }) => {
      const rows = Math.max(...plates.map((lines) => lines.length));
      const height = 80 + rows * size * 2;
      const canvas = new OffscreenCanvas(100 + plates.length * (width + 100), height + 200);
      const context = canvas.getContext("2d");
      context.fillStyle = "#39423e";
      context.fillRect(0, 0, canvas.width, canvas.height);
      context.font = `bold ${size}px 'DejaVu Sans', sans-serif`;
      plates.forEach((lines, n) => {
        const left = 100 + n * (width + 100);
        context.fillStyle = "#e6e6e0";
        context.fillRect(left, 100, width, height);
        context.fillStyle = "#101010";
        lines.forEach((line, row) => context.fillText(line, left + 50, 140 + size + row * size * 2));
      });
      const blob = await canvas.convertToBlob({ type: "image/png" });
      return [...new Uint8Array(await blob.arrayBuffer())];
    },
    { plates, width, size },
  );
  return Buffer.from(bytes);
}

/** A photo redrawn by the browser: blurred by `blur` pixels, `scale` times its size. */
export async function redrawn(page, name, { blur = 0, scale = 1 }) {
  const bytes = await page.evaluate(
    async ({ bytes, blur, scale }) => {
      const bitmap = await createImageBitmap(new Blob([new Uint8Array(bytes)]));
      const canvas = new OffscreenCanvas(Math.round(bitmap.width * scale), Math.round(bitmap.height * scale));
      const context = canvas.getContext("2d");
      context.filter = blur ? `blur(${blur}px)` : "none";
      context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
      const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: 0.95 });
      return [...new Uint8Array(await blob.arrayBuffer())];
    },
    { bytes: [...readFileSync(photo(name))], blur, scale },
  );
  return Buffer.from(bytes);
}

/** Runs the program once; `input` is what it reads. */
export function run(arguments_, input) {
  const ended = spawnSync(binary, arguments_, { encoding: "utf8", input });
  assert.equal(ended.status, 0, ended.stderr);
  return ended.stdout;
}

export async function shot(page, name) {
  await page.screenshot({ path: `${shots}/${name}.png`, fullPage: true });
}

/** WCAG 2.2 AA as far as a program can tell. The rules run beside the page's policy, not under it. */
export async function accessible(page) {
  // On a screen higher than the page, also when more of it arrives: what scrolls beneath the bar at the bottom is not hidden by it.
  const size = page.viewportSize();
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  await page.setViewportSize({ width: size.width, height: height + 3000 });
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() =>
    axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }),
  );
  await page.setViewportSize(size);
  assert.deepEqual(
    violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(" | ")}`),
    [],
  );
}

/** Everything that can be touched is 48 px high and lies within the screen. */
export async function reachable(page) {
  const small = await page.evaluate(() =>
    [...document.querySelectorAll("button, a.button, nav a, select, input:not([type=file]):not([type=checkbox]):not([type=radio]), label.button, label.tick")]
      .filter((e) => e.getClientRects().length && e.getBoundingClientRect().height < 47.5)
      .map((e) => e.outerHTML.slice(0, 80)),
  );
  assert.deepEqual(small, []);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, `the page is ${wide} px too wide`);
}
