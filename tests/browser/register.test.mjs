// The register in a real browser: the list with its filters in the address.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, photo, reachable, registerIn, service, shot, visit } from "./service.mjs";

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

test("the overview counts by location and outcome, and leads to what it counts", async () => {
  const { page, context, complaints } = await visit(chrome, `${running.url}#/register`);
  await page.locator(".choices a").first().waitFor();
  await page.getByText("By location and outcome").click();
  const counted = page.getByRole("link", { name: /^\d+ Read, not judged$/ });
  await counted.waitFor();
  const { counts } = await (await fetch(`${running.url}v1/plates/counts`)).json();
  const all = counts.reduce((sum, one) => sum + one.plates, 0);
  assert.equal(parseInt(await counted.innerText(), 10), all);
  await accessible(page);
  await reachable(page);
  await shot(page, "register-overview-phone");
  await page.getByRole("link", { name: /wait for a person$/ }).click();
  await page.waitForURL(/review=open/);
  await page.waitForFunction((n) => document.querySelectorAll(".choices a").length < n, all);
  assert.deepEqual(complaints, []);
  await context.close();
});
