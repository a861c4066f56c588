// The queue in a real browser: by keyboard alone, by touch alone, by two people at once.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, DESK, photo, reachable, registerIn, service, shot, visit } from "./service.mjs";

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

/** The queue, opened by somebody. */
async function reviewer(name, options = { viewport: DESK }, at = running) {
  const visited = await visit(chrome, "about:blank", options);
  await visited.page.addInitScript((who) => localStorage.setItem("person", who), name);
  // Until the plate is asked for, another one may still come in its place.
  const held = visited.page
    .waitForResponse((answer) => answer.url().endsWith("/hold"), { timeout: 3000 })
    .catch(() => undefined);
  await visited.page.goto(`${at.url}#/review`);
  await visited.page.locator(".entry").waitFor();
  await held;
  return visited;
}

/** Goes on to something else, which lets the plate go, and closes the page. */
async function leave({ page, context }) {
  // What is still intercepted would never be heard of: nobody is there to let it pass.
  await page.unrouteAll({ behavior: "ignoreErrors" });
  const held = page.waitForResponse((answer) => answer.url().endsWith("/hold"), { timeout: 3000 }).catch(() => undefined);
  await page.evaluate(() => (location.hash = "#/learn"));
  await held;
  await context.close();
}

/** Who has a plate in hand. */
const holders = async () => {
  const { entries } = await (await fetch(`${running.url}v1/review`)).json();
  return entries.flatMap((entry) => entry.hold?.who ?? []);
};

const left = async (page) => Number(/(\d+) left/.exec(await page.locator("main [role=status]").innerText())[1]);

/**
 * Lets two readings compete for a letter of the first line that has it: which of the photos are read
 * with doubt is for the reader's own tests.
 */
async function compete(page, from, to) {
  let line;
  await page.route("**/v1/review?*", async (route) => {
    const answer = await route.fetch();
    const body = await answer.json();
    for (const entry of body.entries) {
      line = entry.lines.findIndex((one) => one.text.includes(from));
      if (line < 0) continue;
      const start = [...entry.lines[line].text.split(from)[0]].length;
      const span = { line, start, end: start + from.length, text: from };
      entry.decided_by = [
        { ...span, readings: [{ text: from, probability: 0.8, outcome: "conditional" }, { text: to, probability: 0.2, outcome: "unsuitable" }] },
      ];
    }
    await route.fulfill({ response: answer, json: body });
  });
}

test("the queue is worked off by keyboard, and a decision can be taken back", async () => {
  const { page, context, complaints } = await reviewer("R. Reviewer");
  await page.locator(".entry-crop").evaluate((image) => image.decode());
  await accessible(page);
  await reachable(page);
  await shot(page, "review-desk");
  const all = await left(page);
  assert.ok(all >= 2, `${all} plates wait`);
  const first = await page.locator(".entry h2").innerText();
  await page.keyboard.press("1");
  await page.getByText("1 done").waitFor();
  assert.equal(await left(page), all - 1);
  await page.keyboard.press("u");
  await page.getByText("0 done").waitFor();
  await page.waitForFunction((n) => document.body.innerText.includes(`${n} left`), all);
  assert.equal(await page.locator(".entry h2").innerText(), first, "what was taken back is shown again");
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((text) => document.querySelector(".entry h2").innerText !== text, first);
  await page.keyboard.press("3");
  await page.getByText("Declared illegible").waitFor();
  assert.deepEqual(complaints, []);
  await leave({ page, context });
});

test("competing readings stand side by side, their difference marked, and a key takes one", async () => {
  const { page, context } = await visit(chrome, "about:blank", { viewport: DESK });
  await page.addInitScript(() => localStorage.setItem("person", "R. Reviewer"));
  await compete(page, "Ex", "Fx");
  await page.goto(`${running.url}#/review`);
  while (!(await page.locator(".competing").count())) {
    await page.locator(".entry").waitFor();
    await page.keyboard.press("ArrowRight");
    await page.waitForTimeout(50);
  }
  const [one, two] = await page.locator(".candidates button").all();
  assert.equal(await one.locator("mark").innerText(), "E");
  assert.equal(await two.locator("mark").innerText(), "F");
  assert.equal(await one.getAttribute("aria-pressed"), "true");
  await accessible(page);
  await reachable(page);
  await shot(page, "review-competing-desk");
  await page.keyboard.press("b");
  assert.equal(await two.getAttribute("aria-pressed"), "true");
  assert.ok((await page.locator(".entry form input").evaluateAll((all) => all.map((i) => i.value))).some((text) => text.includes("Fx")));
  await page.keyboard.press("a");
  assert.ok(await page.getByRole("button", { name: "As read" }).isEnabled(), "back to what was read");
  await leave({ page, context });
});

test("touch alone: a reading is taken, the plate settled, and taken back", async () => {
  const { page, context } = await visit(chrome, "about:blank", { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true });
  await page.addInitScript(() => localStorage.setItem("person", "T. Touch"));
  await compete(page, "Ex", "Fx");
  await page.goto(`${running.url}#/review`);
  while (!(await page.locator(".competing").count())) {
    await page.locator(".entry").waitFor();
    await page.getByRole("button", { name: "Next" }).tap();
    await page.waitForTimeout(50);
  }
  // Before a picture is taken: that ends the browser's pretence of a touch screen.
  assert.equal(await page.locator("kbd:visible").count(), 0, "no keys are spoken of where there are none");
  await page.locator(".candidates button").nth(1).tap();
  await accessible(page);
  await shot(page, "review-phone");
  await page.getByRole("button", { name: "As corrected" }).tap();
  await page.getByText("1 done").waitFor();
  await page.getByRole("button", { name: "Take back" }).tap();
  await page.getByText("0 done").waitFor();
  await leave({ page, context });
});

test("a key held down and a finger that taps twice decide once", async () => {
  const { page, context } = await reviewer("R. Reviewer");
  const all = await left(page);
  const sent = [];
  page.on("request", (request) => request.url().endsWith("/settlements") && sent.push(request.url()));
  await page.route("**/settlements", async (route) => {
    await new Promise((later) => setTimeout(later, 300));
    await route.continue();
  });
  await page.getByRole("button", { name: "As read" }).dblclick();
  await page.getByText("1 done").waitFor();
  await page.keyboard.down("1");
  await page.keyboard.down("1");
  await page.keyboard.down("1");
  await page.keyboard.up("1");
  await page.getByText("2 done").waitFor();
  await page.waitForTimeout(700);
  assert.equal(sent.length, 2);
  assert.equal(await page.locator(".problem").count(), 0);
  assert.equal(await left(page), all - 2);
  for (const n of [1, 0]) {
    await page.getByRole("button", { name: "Take back" }).click();
    await page.getByText(`${n} done`).waitFor();
  }
  await leave({ page, context });
});

test("two people see each other, and do not decide on the same plate", async () => {
  const ailsa = await reviewer("Ailsa");
  const bridget = await reviewer("Bridget");
  await bridget.page.getByText("At work here, too: Ailsa").waitFor();
  await bridget.page.locator(".entry [role=alert]").waitFor();
  await shot(bridget.page, "review-held-desk");
  await bridget.page.keyboard.press("1");
  await bridget.page.locator(".problem").waitFor();
  assert.match(await bridget.page.locator(".problem").innerText(), /Ailsa/);
  // Ailsa goes away: the plate is free.
  await ailsa.page.goto(`${running.url}#/learn`);
  await ailsa.page.getByText("Take a marking apart").waitFor();
  await bridget.page.reload();
  await bridget.page.locator(".entry").waitFor();
  assert.equal(await bridget.page.getByText("At work here, too").count(), 0);
  await bridget.page.keyboard.press("1");
  await bridget.page.getByText("1 done").waitFor();
  await leave(ailsa);
  await leave(bridget);
});

test("a page that is closed lets its plate go, and one that dies cannot hold it for long", async () => {
  const until = async (wanted) => {
    const end = Date.now() + 10_000;
    while (JSON.stringify(await holders()) !== JSON.stringify(wanted)) {
      assert.ok(Date.now() < end, `held by ${await holders()}`);
      await new Promise((later) => setTimeout(later, 100));
    }
  };
  const closing = await reviewer("Closing");
  await until(["Closing"]);
  // As the cross of the tab does.
  await closing.page.close({ runBeforeUnload: true });
  await until([]);
  await closing.context.close();
  const dying = await visit(chrome, "about:blank", { viewport: DESK });
  let seconds;
  await dying.page.route("**/hold", async (route) => {
    const asked = route.request().postDataJSON();
    seconds = asked.seconds;
    await route.continue({ postData: JSON.stringify({ ...asked, seconds: 3 }) });
  });
  await dying.page.addInitScript(() => localStorage.setItem("person", "Dying"));
  await dying.page.goto(`${running.url}#/review`);
  await until(["Dying"]);
  assert.ok(seconds <= 120, `it asks for ${seconds} seconds`);
  const client = await dying.context.newCDPSession(dying.page);
  const crashed = dying.page.waitForEvent("crash");
  void client.send("Page.crash").catch(() => undefined);
  await crashed;
  assert.deepEqual(await holders(), ["Dying"], "nobody was told");
  await until([]);
  await dying.context.close();
});

test("a plate that is left in the moment it is taken in hand does not stay held", async () => {
  const { page, context } = await visit(chrome, "about:blank", { viewport: DESK });
  await page.addInitScript(() => localStorage.setItem("person", "Hasty"));
  // Taking it in hand is slow, letting it go would be there first.
  await page.route("**/hold", async (route) => {
    if (route.request().postDataJSON().seconds > 0) await new Promise((later) => setTimeout(later, 800));
    await route.continue();
  });
  const taking = page.waitForRequest((request) => request.url().endsWith("/hold"));
  await page.goto(`${running.url}#/review`);
  await taking;
  const answered = (wanted) => page.waitForResponse((answer) => wanted(answer.request().postDataJSON()?.seconds));
  const both = [answered((seconds) => seconds > 0), answered((seconds) => seconds === 0)];
  await page.evaluate(() => (location.hash = "#/learn"));
  await Promise.all(both);
  assert.deepEqual(await holders(), []);
  await context.close();
});

test("a plate behind another window is not held on to", async () => {
  const { page, context } = await visit(chrome, "about:blank", { viewport: DESK });
  await page.clock.install();
  await page.addInitScript(() => localStorage.setItem("person", "A. Way"));
  const asked = [];
  page.on("request", (request) => request.url().endsWith("/hold") && asked.push(request.postDataJSON().seconds));
  await page.goto(`${running.url}#/review`);
  await page.locator(".entry").waitFor();
  await page.clock.runFor(1000);
  assert.equal(asked.length, 1);
  const turn = (state) =>
    page.evaluate((now) => {
      Object.defineProperty(document, "visibilityState", { value: now, configurable: true });
      document.dispatchEvent(new Event("visibilitychange"));
    }, state);
  await turn("hidden");
  await page.clock.runFor(180_000);
  assert.equal(asked.length, 1);
  await turn("visible");
  await page.clock.runFor(1000);
  assert.equal(asked.length, 2, "whoever comes back holds it again at once");
  await leave({ page, context });
});

test("what is typed into a line outlives a reload", async () => {
  const { page, context } = await reviewer("R. Reviewer");
  await page.locator(".entry form input").first().fill("II 2 G Ex db IIB T4 Gb typed");
  await page.reload();
  await page.locator(".entry").waitFor();
  assert.equal(await page.locator(".entry form input").first().inputValue(), "II 2 G Ex db IIB T4 Gb typed");
  await page.getByRole("button", { name: "Back to what was read" }).click();
  assert.notEqual(await page.locator(".entry form input").first().inputValue(), "II 2 G Ex db IIB T4 Gb typed");
  await leave({ page, context });
});

test("a correction is kept with its history: who, when, and what stood there before", async (t) => {
  // A queue of its own, in which no other test has decided or holds anything.
  const own = mkdtempSync(join(tmpdir(), "vetplate-"));
  const at = await service(0, ["--register", registerIn(own, [photo("")])]);
  t.after(async () => {
    await at.stop();
    rmSync(own, { recursive: true, force: true });
  });
  const { page, context } = await reviewer("H. History", undefined, at);
  const line = page.locator(".entry form input").first();
  const read = await line.inputValue();
  await line.fill(`${read} CORRECTED`);
  await line.press("Enter");
  await page.getByText("Corrected:").waitFor();
  await page.goto(`${at.url}#/register?review=settled`);
  await page.locator(".choices a").first().waitFor();
  await accessible(page);
  await reachable(page);
  await shot(page, "register-phone");
  const found = [];
  for (const plate of await page.locator(".choices a").evaluateAll((all) => all.map((one) => one.href))) {
    // A page of its own, for the one before would still be there, and whole: the history comes last.
    await page.goto("about:blank");
    await page.goto(plate, { waitUntil: "networkidle" });
    await page.locator(".band").waitFor();
    found.push(await page.locator("main").innerText());
  }
  await accessible(page);
  await shot(page, "plate-phone");
  const decided = found.find((text) => text.includes("H. History: corrected"));
  assert.ok(decided, "the history names who decided");
  assert.match(decided, /review: waiting → settled by a person/);
  assert.ok(found.every((text) => text.includes("Keep in mind")), "the cautions stand beside each verdict");
  await leave({ page, context });
});
