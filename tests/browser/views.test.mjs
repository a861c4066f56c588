// Every view, at every size, in light and dark: whole, accessible, within the screen, without a
// complaint of the browser. Its screenshots are for people to look at.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, DESK, photo, reachable, registerIn, service, shot, snap } from "./service.mjs";

const READ = { timeout: 120_000 };
let running;
let chrome;
let folder;
let plate;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), "vetplate-"));
  const photos = ["still-house-pump-motor.jpg", "mill-dust-fan-motor.jpg", "mill-elevator-switch.jpg"].map(photo);
  [running, chrome] = await Promise.all([service(0, ["--register", registerIn(folder, photos)]), browser()]);
  plate = (await (await fetch(`${running.url}v1/plates`)).json()).plates[0].id;
});
after(async () => {
  await chrome?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** Each view: its address, and how far it is when there is something to look at. */
const VIEWS = {
  photo: ["photo", (page) => page.locator(".choices button").first().waitFor()],
  answer: ["photo", async (page) => {
    await page.locator("main > section .choices button").last().click();
    await page.locator(".photo-frame img").waitFor();
  }],
  review: ["review", (page) => page.locator(".entry-crop").evaluate((image) => image.decode())],
  register: ["register", (page) => page.locator(".choices a").first().waitFor()],
  plate: ["plate", (page) => page.locator(".band").waitFor()],
  inspect: ["inspect", (page) => page.locator("fieldset.item").first().waitFor()],
  import: ["import", (page) => page.getByText("Earlier imports").waitFor()],
  places: ["places", (page) => page.locator(".card .read").first().waitFor()],
  learn: ["learn", async (page) => {
    await page.locator("main > section .choices button").first().click();
    await page.locator(".pieces").waitFor();
  }],
  loop: ["loop", (page) => page.locator("fieldset").first().waitFor()],
};

/** Leaves a place, a name and an answer in the browser. */
async function settled(page) {
  await page.goto(running.url);
  await page.evaluate(() => {
    const place = { name: "Still house", place: { zone: "1", gas: ["ethanol"] }, origin: "own" };
    for (const [key, value] of Object.entries({ places: [place], "current-place": place })) localStorage.setItem(key, JSON.stringify(value));
    localStorage.setItem("person", "A. Inspector");
  });
  await page.reload();
  await snap(page, "still-house-pump-motor.jpg");
  await page.locator(".band").waitFor(READ);
}

async function each(context, name) {
  const page = await context.newPage();
  const complaints = [];
  page.on("console", (message) => message.type() === "error" && complaints.push(message.text()));
  page.on("pageerror", (error) => complaints.push(error.message));
  await settled(page);
  for (const [view, [address, there]] of Object.entries(VIEWS)) {
    const path = address === "plate" ? `register/${plate}` : address === "inspect" ? `inspect/${plate}` : address;
    await page.goto("about:blank");
    await page.goto(`${running.url}#/${path}`);
    await there(page);
    await accessible(page);
    await reachable(page);
    await shot(page, `every-${view}-${name}`);
  }
  assert.deepEqual(complaints, []);
  await context.close();
}

for (const [name, options] of [
  ["320", { viewport: { width: 320, height: 640 } }],
  ["390-dark", { viewport: { width: 390, height: 844 }, colorScheme: "dark" }],
  ["desk", { viewport: DESK }],
  ["desk-dark", { viewport: DESK, colorScheme: "dark" }],
]) {
  test(`every view is whole and accessible: ${name}`, async () => {
    await each(await chrome.newContext({ locale: "en-GB", ...options }), name);
  });
}

test("text of twice the size fits a narrow phone in every view", async () => {
  const context = await chrome.newContext({ locale: "en-GB", viewport: { width: 320, height: 640 } });
  // What a person sets in the browser: the size of the root.
  await context.addInitScript(() =>
    document.addEventListener("DOMContentLoaded", () => (document.documentElement.style.fontSize = "200%")),
  );
  await each(context, "320-twice");
});
