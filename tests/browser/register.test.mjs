// The register in a real browser: the queue worked off by keyboard, the list with its filters
// in the address, and one plate with its history.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, binary, browser, DESK, photo, reachable, service, shot, visit } from "./service.mjs";

let running;
let chrome;
let folder;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), "vetplate-"));
  const register = join(folder, "register.db");
  const imported = spawnSync(binary, ["import", photo(""), "--register", register], { encoding: "utf8" });
  assert.equal(imported.status, 0, imported.stderr);
  [running, chrome] = await Promise.all([service(0, ["--register", register]), browser()]);
});
after(async () => {
  await chrome?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
});

test("the queue is worked off by keyboard, and a decision can be taken back", async () => {
  const { page, context, complaints } = await visit(chrome, `${running.url}#/review`, { viewport: DESK });
  await page.getByLabel("Your name").fill("R. Reviewer");
  await page.locator(".entry").waitFor();
  await page.locator(".entry-crop").evaluate((image) => image.decode());
  await accessible(page);
  await shot(page, "review-desk");
  const waiting = async () => Number(/(\d+) left/.exec(await page.locator("[role=status]").last().innerText())[1]);
  const all = await waiting();
  assert.ok(all >= 2, `${all} plates wait`);
  await page.locator("h1").click();
  await page.keyboard.press("1");
  await page.getByText("1 done").waitFor();
  assert.equal(await waiting(), all - 1);
  await page.keyboard.press("u");
  await page.getByText("0 done").waitFor();
  await page.waitForFunction((n) => document.body.innerText.includes(`${n} left`), all);
  await page.keyboard.press("3");
  await page.getByText("Declared illegible").waitFor();
  assert.deepEqual(complaints, []);
  await context.close();
});

test("a correction is kept with its history", async () => {
  const { page, context } = await visit(chrome, `${running.url}#/review`);
  await page.getByLabel("Your name").fill("R. Reviewer");
  await page.locator(".entry").waitFor();
  const line = page.locator(".entry form input").first();
  const read = await line.inputValue();
  await line.fill(`${read} CORRECTED`);
  await line.press("Enter");
  await page.getByText("Corrected:").waitFor();
  await page.goto(`${running.url}#/register?review=settled`);
  await page.locator(".choices a").first().waitFor();
  await accessible(page);
  await reachable(page);
  await shot(page, "register-phone");
  const found = [];
  for (const plate of await page.locator(".choices a").evaluateAll((all) => all.map((one) => one.href))) {
    await page.goto(plate);
    await page.locator(".band").waitFor();
    found.push(await page.locator("main").innerText());
  }
  await accessible(page);
  await shot(page, "plate-phone");
  assert.ok(found.some((text) => text.includes("R. Reviewer")), "the history names who decided");
  assert.ok(found.every((text) => text.includes("Keep in mind")), "the cautions stand beside each verdict");
  await context.close();
});

test("filters stand in the address and outlive a reload", async () => {
  const { page, context } = await visit(chrome, `${running.url}#/register`);
  await page.locator(".choices a").first().waitFor();
  const all = await page.locator(".choices a").count();
  assert.ok(all >= 10, `${all} plates`);
  await page.getByLabel(/Tag, serial/).fill("2208");
  await page.getByRole("button", { name: "Find" }).click();
  await page.waitForFunction((n) => document.querySelectorAll(".choices a").length < n, all);
  assert.match(page.url(), /text=2208/);
  assert.match(await page.locator(".choices").innerText(), /2208-4417/);
  await page.reload();
  await page.locator(".choices a").first().waitFor();
  assert.match(await page.locator(".choices").innerText(), /2208-4417/);
  await page.getByLabel(/Tag, serial/).fill("no such plate");
  await page.getByRole("button", { name: "Find" }).click();
  await page.getByText("Nothing fits these filters.").waitFor();
  await context.close();
});
