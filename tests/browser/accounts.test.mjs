// Accounts of the service in a real browser: what each role sees and may do, a session that ends
// while a photo waits, sign-out, and who guesses passwords.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, DESK, photo, reachable, registerIn, run, service, shot, snap, visit } from "./service.mjs";

const READ = { timeout: 120_000 };
const ROLES = ["reader", "inspector", "reviewer", "administrator"];
const password = (role) => `barley and peat of the ${role}`;
const nameOf = (role) => `${role[0].toUpperCase()}${role.slice(1)} Corrie`;
let running;
let chrome;
let folder;
let register;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), "vetplate-"));
  register = registerIn(folder, [photo("mill-dust-fan-motor.jpg"), photo("mill-elevator-switch.jpg")]);
  for (const role of ROLES) run(["users", "add", nameOf(role), "--role", role, "--register", register], `${password(role)}\n`);
  [running, chrome] = await Promise.all([service(0, ["--register", register]), browser()]);
});
after(async () => {
  await chrome?.close();
  await running?.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function signIn(page, role, typed = password(role)) {
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  await page.getByLabel("Name of the account").fill(nameOf(role));
  await page.getByLabel("Password").fill(typed);
  await page.getByRole("button", { name: "Sign in" }).click();
}

/** A page with somebody signed in. */
async function as(role, view = "photo", options = {}) {
  const visited = await visit(chrome, `${running.url}#/${view}`, options);
  // The last that the page asks for by itself: a session that a test ends later ends no request under way.
  const settled = visited.page.waitForResponse((answer) => answer.url().endsWith("/v1/locations") && answer.ok());
  await signIn(visited.page, role);
  await settled;
  await visited.page.getByRole("button", { name: "Sign out" }).waitFor();
  // Until the service was asked, the browser complains of what it refused.
  visited.complaints.length = 0;
  return visited;
}

const views = (page) => page.locator("nav a").evaluateAll((all) => all.map((one) => one.href.split("#/")[1]));

test("nobody sees anything before signing in", async () => {
  const { page, context } = await visit(chrome, `${running.url}#/register`);
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  assert.equal(await page.locator(".choices a").count(), 0);
  await accessible(page);
  await reachable(page);
  await shot(page, "sign-in-phone");
  await page.setViewportSize(DESK);
  await shot(page, "sign-in-desk");
  await signIn(page, "reader", "wheat");
  await page.getByText("Name or password is wrong.").waitFor();
  await signIn(page, "reader");
  await page.locator(".choices a").first().waitFor();
  await context.close();
});

test("a reader looks, and is told what is for others", async () => {
  const { page, context, complaints } = await as("reader");
  assert.deepEqual(await views(page), ["photo", "register", "places", "learn", "loop"]);
  await page.getByText("Reader Corrie").waitFor();
  await snap(page, "still-house-pump-motor.jpg");
  await page.locator(".band").waitFor(READ);
  assert.equal(await page.getByRole("button", { name: "Save" }).count(), 0);
  await page.getByText("needs the role inspector or more. Reader Corrie has the role reader.").waitFor();
  await page.goto(`${running.url}#/review`);
  await page.getByText("needs the role reviewer or more").waitFor();
  await page.locator(".entry").waitFor();
  for (const name of ["As read", "As corrected", "Illegible"]) assert.equal(await page.getByRole("button", { name }).count(), 0);
  await page.goto(`${running.url}#/import`);
  await page.getByText("needs the role inspector or more").waitFor();
  assert.equal(await page.locator(".bring").count(), 0);
  await page.goto(`${running.url}#/places`);
  await page.getByRole("heading", { name: "Places" }).waitFor();
  assert.equal(await page.getByRole("button", { name: "Another location of the site" }).count(), 0);
  await accessible(page);
  assert.deepEqual(complaints, []);
  await context.close();
});

test("an inspector keeps photos and records inspections under the name of the account", async () => {
  const { page, context } = await as("inspector");
  assert.deepEqual(await views(page), ["photo", "register", "import", "places", "learn", "loop"]);
  await snap(page, "still-house-pump-motor.jpg");
  await page.locator(".band").waitFor(READ);
  assert.equal(await page.getByLabel("Your name").count(), 0, "the account is the name");
  await page.getByLabel("Tag of the equipment").fill("P-101");
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("In the register.").waitFor(READ);
  await page.goto(`${running.url}#/register?text=P-101`);
  await page.locator(".choices a").first().click();
  await page.getByText("Inspector Corrie: read").waitFor();
  await page.getByRole("link", { name: "Record an inspection" }).click();
  await page.locator("fieldset.item").first().waitFor();
  assert.ok(await page.getByRole("button", { name: "Record", exact: true }).isEnabled());
  await context.close();
});

test("a reviewer decides, and the history names the account", async () => {
  const { page, context } = await as("reviewer", "review", { viewport: DESK });
  assert.deepEqual(await views(page), ["photo", "review", "register", "import", "places", "learn", "loop"]);
  await page.locator(".entry").waitFor();
  const marking = await page.locator(".entry h2").innerText();
  await page.keyboard.press("1");
  await page.getByText("1 done").waitFor();
  await page.goto(`${running.url}#/register?review=settled`);
  await page.locator(".choices a").first().click();
  await page.getByText("Reviewer Corrie: confirmed").waitFor();
  assert.ok(marking.length > 0);
  await context.close();
});

test("an administrator says what a location is, by hand and with a file", async () => {
  const { page, context, complaints } = await as("administrator", "places", { viewport: DESK });
  await page.getByRole("button", { name: "Another location of the site" }).click();
  await page.getByLabel("Tag of the location").fill("YARD");
  await page.getByLabel("What it is called").fill("Yard of the tankers");
  await page.getByRole("combobox", { name: "Zone", exact: true }).selectOption("2");
  await page.getByLabel("Gas or vapour").fill("ethanol");
  await page.getByRole("button", { name: "Keep for the site" }).click();
  await page.getByRole("heading", { name: /YARD Yard of the tankers/ }).waitFor();
  await page.getByText("Take a site file (CSV or TOML)").first().click();
  const csv = "tag,description,zone,gas\nYARD,Yard of the tankers,1,ethanol\nVAT,Vat room,2,ethanol\n";
  await page.locator("details input[type=file]").setInputFiles({ name: "site.csv", mimeType: "text/csv", buffer: Buffer.from(csv) });
  await page.getByText("2 locations in the file: 1 new, 1 changed.").waitFor();
  await page.getByRole("heading", { name: /VAT Vat room/ }).waitFor();
  await page.getByText("zone 1, ethanol").first().waitFor();
  complaints.length = 0;
  const wrong = csv.replace("VAT,Vat room,2", "VAT,Vat room,37");
  await page.locator("details input[type=file]").setInputFiles({ name: "site.csv", mimeType: "text/csv", buffer: Buffer.from(wrong) });
  await page.getByText(/row 3/).waitFor();
  await page.getByRole("button", { name: /Change\s*: VAT/ }).click();
  await page.getByLabel("What it is called").fill("Vat room with exhaust");
  await page.getByRole("button", { name: "Keep for the site" }).click();
  await page.getByRole("heading", { name: /VAT Vat room with exhaust/ }).waitFor();
  await accessible(page);
  await reachable(page);
  await shot(page, "places-site-desk");
  await context.close();
});

test("a session that ends loses neither the photo nor what is typed", async () => {
  const { page, context } = await as("inspector");
  await snap(page, "boiler-house-solenoid.jpg");
  await page.locator(".band").waitFor(READ);
  await page.getByLabel("Tag of the equipment").fill("P-202");
  // Another password ends every session of the account.
  run(["users", "password", nameOf("inspector"), "--register", register], `${password("inspector")}\n`);
  await page.getByRole("button", { name: "Save" }).click();
  const ended = page.getByText("The session has ended.");
  await ended.waitFor();
  await page.getByText("1 photo waiting").waitFor();
  // Whatever else is asked and refused meanwhile, and whoever errs in the password: the words stand.
  await page.waitForTimeout(1500);
  assert.ok(await ended.isVisible());
  await signIn(page, "inspector", "wheat");
  await page.getByText("Name or password is wrong.").waitFor();
  assert.ok(await ended.isVisible());
  await accessible(page);
  await shot(page, "session-ended-phone");
  // Somebody else at the same device: the photo is not theirs.
  await signIn(page, "reviewer");
  await page.getByText("Saved by Inspector Corrie").waitFor();
  await shot(page, "waits-for-another-phone");
  await page.getByRole("button", { name: "Sign out" }).click();
  await signIn(page, "inspector");
  await page.getByText("1 photo waiting").waitFor({ state: "detached", ...READ });
  const { plates } = await page.evaluate(async () => (await fetch("v1/plates?text=P-202")).json());
  assert.equal(plates.length, 1);
  const { history } = await page.evaluate(async (id) => (await fetch(`v1/plates/${id}`)).json(), plates[0].id);
  assert.ok(history.every((event) => event.who !== nameOf("reviewer")), "kept under no other name");
  await context.close();
});

test("a refusal that comes late does not send away whoever has signed in meanwhile", async () => {
  const { page, context } = await as("reader", "register");
  await page.locator(".choices a").first().waitFor();
  run(["users", "password", nameOf("reader"), "--register", register], `${password("reader")}\n`);
  let pass;
  const passed = new Promise((done) => (pass = done));
  const refused = page.waitForRequest("**/v1/plates?text=*");
  await page.route("**/v1/plates?text=*", async (route) => {
    const answer = await route.fetch();
    assert.equal(answer.status(), 401);
    await passed;
    await route.fulfill({ response: answer });
  });
  await page.evaluate(() => (location.hash = "#/register?text=late"));
  await refused;
  await page.evaluate(() => (location.hash = "#/import"));
  await page.getByText("The session has ended.").waitFor();
  await signIn(page, "reader");
  await page.getByRole("button", { name: "Sign out" }).waitFor();
  const late = page.waitForResponse("**/v1/plates?text=*");
  pass();
  await late;
  await page.waitForTimeout(500);
  assert.ok(await page.getByRole("button", { name: "Sign out" }).isVisible());
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  assert.equal(await page.getByText("The session has ended.").count(), 0, "whoever goes by himself need not be told");
  await context.close();
});

test("a photo taken after the session ended waits and is read once somebody signs in", async () => {
  const { page, context } = await as("inspector");
  run(["users", "password", nameOf("inspector"), "--register", register], `${password("inspector")}\n`);
  await snap(page, "mill-elevator-switch.jpg");
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  await page.getByText("1 photo waiting").waitFor();
  await page.reload();
  await page.getByText("1 photo waiting").waitFor();
  await signIn(page, "inspector");
  await page.getByText("1 photo waiting").waitFor({ state: "detached", ...READ });
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  // The session has ended at the service, not only in the browser.
  assert.equal(await page.evaluate(async () => (await fetch("v1/plates")).status), 401);
  await context.close();
});

test("whoever guesses passwords is told how long to wait", async () => {
  const { page, context } = await visit(chrome, running.url, { locale: "de-DE" });
  await page.getByRole("heading", { name: "Anmelden" }).waitFor();
  await page.getByLabel("Name des Kontos").fill("Nobody");
  for (let n = 0; n < 9; n++) {
    await page.getByLabel("Passwort").fill(`guess ${n}`);
    const answered = page.waitForResponse((answer) => answer.url().endsWith("/v1/session") && answer.request().method() === "POST");
    await page.getByRole("button", { name: "Anmelden" }).click();
    await answered;
  }
  await page.getByText(/Zu viele falsche Passwörter von hier. In \d+ Sekunden/).waitFor();
  await accessible(page);
  await context.close();
});
