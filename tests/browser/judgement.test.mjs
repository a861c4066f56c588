// What is said of a photo before it is read: by the service, with the place of each flaw, and by
// the browser alone where there is no network.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessible, browser, DESK, reachable, redrawn, service, shot, snap, snapBytes, visit } from "./service.mjs";

const READ = { timeout: 120_000 };
const PLATE = "still-house-pump-motor.jpg";
let running;
let chrome;

before(async () => {
  [running, chrome] = await Promise.all([service(), browser()]);
});
after(async () => {
  await chrome?.close();
  await running?.stop();
});

/** Takes a flawed photo; answers after how many milliseconds something was said of it. */
async function flawed(page, bytes) {
  const begun = Date.now();
  await snapBytes(page, "flawed.jpg", bytes);
  await page.locator(".flawed li").first().waitFor();
  return Date.now() - begun;
}

test("letters that are too small are told with their height and drawn on the photo", async () => {
  const { page, context, complaints } = await visit(chrome, running.url);
  const read = [];
  page.on("request", (request) => request.url().endsWith("/v1/readings") && read.push(request));
  const took = await flawed(page, await redrawn(page, PLATE, { scale: 0.25 }));
  // A figure to be read: the machine that runs the tests may be busy.
  console.log(`said what is wrong with a photo after ${took} ms`);
  assert.match(await page.locator(".flawed").innerText(), /Letters \d+ px high; 20 needed: go closer/);
  assert.ok((await page.locator(".flawed polygon.flaw").first().boundingBox()).width > 10);
  assert.equal(read.length, 0, "nothing is read before somebody says so");
  await page.getByText("1 photo waiting").waitFor();
  await accessible(page);
  await reachable(page);
  await shot(page, "flawed-phone");
  await page.setViewportSize(DESK);
  await shot(page, "flawed-desk");
  // It waits for a word, through a reload, too.
  await page.reload();
  await page.locator(".flawed img").waitFor();
  await page.getByRole("button", { name: "Use it anyway" }).click();
  await page.locator(".band, .problem").first().waitFor(READ);
  assert.equal(read.length, 1);
  assert.deepEqual(complaints, []);
  await context.close();
});

test("a blurred photo is taken again, and only the second one is read", async () => {
  const { page, context } = await visit(chrome, running.url);
  await flawed(page, await redrawn(page, PLATE, { blur: 10 }));
  const said = page.waitForRequest((request) => request.url().endsWith("/v1/readings"));
  await snap(page.locator(".flawed"), PLATE);
  await said;
  await page.locator(".band").waitFor(READ);
  assert.match(await page.locator(".printed").first().innerText(), /IIC/);
  assert.equal(await page.getByText("photo waiting").count(), 0, "the first one is gone");
  await context.close();
});

test("without a network the browser sees blur by itself, in the words of the service", async () => {
  for (const [locale, words] of [["en-GB", /Out of focus or shaken/], ["de-DE", /Unscharf oder verwackelt/]]) {
    const { page, context } = await visit(chrome, running.url, { locale });
    const bytes = await redrawn(page, PLATE, { blur: 14 });
    await context.setOffline(true);
    const took = await flawed(page, bytes);
    console.log(`without a network after ${took} ms`);
    assert.match(await page.locator(".flawed").innerText(), words);
    await context.setOffline(false);
    await context.close();
  }
});

test("a service that takes its time is not waited for", async () => {
  const { page, context } = await visit(chrome, running.url);
  await page.route("**/v1/photos/judgement", () => undefined);
  await flawed(page, await redrawn(page, PLATE, { blur: 14 }));
  await page.getByRole("button", { name: "Remove" }).click();
  await snap(page, PLATE);
  await page.locator(".band").waitFor(READ);
  await context.close();
});

test("several plates on one photo are shown each by itself, and codes as text", async () => {
  const { page, context, complaints } = await visit(chrome, running.url);
  // Whether plates and codes are told apart is for the reader's own tests: here is what it answers then.
  await page.route("**/v1/readings", async (route) => {
    const answer = await route.fetch();
    const body = await answer.json();
    const { lines, markings, review, verdict, serial } = body;
    const first = { lines, markings, review, verdict, serial };
    const second = { ...first, lines: lines.slice(0, 1), serial: "SECOND-2", markings: [{ ...markings[0], text: "II 3 G Ex ec IIC T3 Gc", pieces: [] }] };
    const code = { kind: "qr", text: "https://plate.invalid/?id=<b>7</b>", quad: lines[0].quad };
    await route.fulfill({ response: answer, json: { ...body, plates: [first, second], codes: [code] } });
  });
  await snap(page, PLATE);
  await page.getByText("2 plates on this photo.").waitFor(READ);
  assert.equal(await page.locator(".photo polygon.plate").count(), 2, "both are outlined");
  assert.equal(await page.locator(".numbered").count(), 2);
  await page.getByRole("button", { name: /^Plate 2/ }).click();
  await page.getByText("SECOND-2").waitFor();
  assert.equal(await page.locator(".printed").innerText(), "II 3 G Ex ec IIC T3 Gc");
  await page.getByText("https://plate.invalid/?id=<b>7</b>").waitFor();
  assert.equal(await page.locator("main a[href*=invalid]").count(), 0, "no link that a touch would follow");
  await accessible(page);
  await reachable(page);
  await shot(page, "several-plates-phone");
  assert.deepEqual(complaints, []);
  await context.close();
});
