// The register in a real browser: the list with its filters in the address.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { browser, photo, registerIn, service, visit } from "./service.mjs";

let running;
let chrome;
let folder;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), "vetplate-"));
  [running, chrome] = await Promise.all([service(0, ["--register", registerIn(folder, [photo("")])]), browser()]);
});
after(async () => {
  await chrome?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
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
