// A phone that loses its connection: the page opens, photos wait, and what was broken off in the
// middle is sent again and counted once.
import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { browser, registerIn, service, shot, snap, visit } from "./service.mjs";

const READ = { timeout: 120_000 };
let running;
let chrome;
let folder;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), "vetplate-"));
  const empty = join(folder, "empty");
  mkdirSync(empty);
  [running, chrome] = await Promise.all([service(0, ["--register", registerIn(folder, [empty])]), browser()]);
});
after(async () => {
  await chrome?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
});

test("the page can be put on the home screen", async () => {
  const manifest = await (await fetch(`${running.url}page.webmanifest`)).json();
  assert.equal(manifest.display, "standalone");
  assert.ok(manifest.name && manifest.short_name && manifest.start_url);
  for (const icon of manifest.icons) {
    const answer = await fetch(running.url + icon.src);
    assert.equal(answer.headers.get("content-type"), icon.type);
  }
  // What the browser itself says against installing it.
  const { page, context } = await visit(chrome, running.url);
  await page.evaluate(() => navigator.serviceWorker.ready);
  const client = await context.newCDPSession(page);
  const { installabilityErrors } = await client.send("Page.getInstallabilityErrors");
  // A context of a test is a private window.
  assert.deepEqual(installabilityErrors.map((one) => one.errorId).filter((id) => id !== "in-incognito"), []);
  await context.close();
});

test("a service that is gone leaves a page that says so and works on", async () => {
  const { page, context } = await visit(chrome, running.url);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await context.setOffline(true);
  await page.reload();
  await page.getByText("No connection to the service").waitFor();
  // The other views are at hand, too.
  await page.evaluate(() => (location.hash = "#/loop"));
  await page.getByRole("heading", { name: "An intrinsically safe loop" }).waitFor();
  await page.evaluate(() => (location.hash = "#/photo"));
  await snap(page, "mill-dust-fan-motor.jpg");
  await page.getByText("1 photo waiting").waitFor();
  await page.getByText("More", { exact: true }).click();
  const note = await page.locator("main").innerText();
  assert.match(note, /Nothing is sent while this page is closed/);
  assert.match(note, /a week, unless the page is on the home screen/);
  await shot(page, "offline-phone");
  await context.setOffline(false);
  await page.locator(".band").waitFor(READ);
  await context.close();
});

test("a view that cannot be fetched says so, and is there once it can", async () => {
  const { page, context } = await visit(chrome, "about:blank", { serviceWorkers: "block" });
  await page.route("**/views.js?*", (route) => route.abort());
  await page.goto(`${running.url}#/loop`);
  await page.getByText("The service does not answer.").waitFor();
  await page.unroute("**/views.js?*");
  await page.getByRole("button", { name: "Try again" }).click();
  await page.getByRole("heading", { name: "An intrinsically safe loop" }).waitFor();
  await context.close();
});

test("an upload whose answer is lost in a reload is sent again and kept once", async () => {
  const { page, context } = await visit(chrome, running.url);
  await snap(page, "still-house-pump-motor.jpg");
  await page.locator(".band").waitFor(READ);
  const keys = [];
  // The service has it, and the first answer never arrives.
  let kept;
  const swallowed = new Promise((done) => (kept = done));
  await page.route("**/v1/plates", async (route) => {
    if (route.request().method() !== "POST") return route.continue();
    keys.push(route.request().headers()["idempotency-key"]);
    if (keys.length > 1) return route.continue();
    const answer = await route.fetch();
    kept(answer.status());
  });
  await page.getByLabel("Tag of the equipment").fill("P-303");
  await page.getByLabel("Your name").fill("A. Inspector");
  await page.getByRole("button", { name: "Save" }).click();
  assert.equal(await swallowed, 201);
  await page.reload();
  await page.locator(".choices button").first().click();
  await page.getByText("In the register.").waitFor(READ);
  assert.equal(keys.length, 2);
  assert.equal(keys[0], keys[1], "the same key at each try");
  const { plates } = await (await fetch(`${running.url}v1/plates?text=P-303`)).json();
  assert.equal(plates.length, 1);
  assert.equal(plates[0].photos, 1);
  await context.close();
});

test("a reload while photos are being read loses none and reads each", async () => {
  const { page, context } = await visit(chrome, running.url);
  const photos = ["mill-dust-fan-motor.jpg", "mill-elevator-switch.jpg"];
  let first;
  const under = new Promise((done) => (first = done));
  await page.route("**/v1/readings", (route) => {
    first();
    return undefined;
  });
  for (const one of photos) await snap(page, one);
  await under;
  await page.getByText("2 photos waiting").waitFor();
  await page.unroute("**/v1/readings");
  await page.reload();
  await page.waitForFunction(() => document.querySelectorAll(".choices button").length === 2 || document.querySelector(".band"), undefined, READ);
  await page.getByText(/photos? waiting/).waitFor({ state: "detached", ...READ });
  await page.reload();
  await page.locator(".choices button").first().waitFor();
  assert.equal(await page.locator(".choices button").count(), 2);
  await context.close();
});
