// The page in a real browser: from the photo to the verdict, corrections, no network,
// hostile text, small screens, three languages.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessible, browser, DESK, drawn, PHONE, place, reachable, service, shot, snap, snapBytes, visit } from "./service.mjs";

const READ = { timeout: 120_000 };
let running;
let chrome;

before(async () => {
  [running, chrome] = await Promise.all([service(), browser()]);
});
after(async () => {
  await chrome?.close();
  await running?.stop();
});

test("a photo becomes a verdict with its grounds, and every piece says what it means", async () => {
  const { page, context, complaints } = await visit(chrome, running.url);
  await place(page, "Still house", { zone: "1", gas: "ethanol" });
  await snap(page, "still-house-pump-motor.jpg");
  await page.locator(".band").waitFor(READ);
  assert.equal(await page.locator(".band-word").innerText(), "Conditional");
  assert.match(await page.locator(".band").innerText(), /Still house: zone 1, ethanol/);
  assert.match(await page.locator(".grounds").innerText(), /ethanol ignites at/);
  assert.match(await page.locator(".cautions").innerText(), /certificate/);
  await page.getByRole("button", { name: "IIC", exact: true }).click();
  assert.match(await page.locator(".piece-detail").innerText(), /hydrogen/);
  assert.ok((await page.locator(".piece-detail canvas").boundingBox()).height > 40, "the crop is shown");
  assert.ok((await page.locator(".photo polygon").count()) > 8, "lines are drawn on the photo");
  await accessible(page);
  await reachable(page);
  await shot(page, "photo-answer-phone");
  await page.setViewportSize(DESK);
  await shot(page, "photo-answer-desk");
  assert.deepEqual(complaints, []);
  await context.close();
});

test("a corrected line is judged again, and the way back is open", async () => {
  const { page, context } = await visit(chrome, running.url);
  await place(page, "Boiler house", { zone: "1", gas: "hydrogen" });
  await snap(page, "still-house-pump-motor.jpg");
  await page.locator(".band").waitFor(READ);
  const line = page.locator(".correct input").first();
  const read = await line.inputValue();
  assert.match(read, /IIC/);
  await line.fill(read.replace("IIC", "IIB"));
  await page.getByRole("button", { name: "Judge again" }).click();
  await page.locator(".band.unsuitable").waitFor();
  assert.match(await page.locator("[role=status]").last().innerText(), /Corrected by hand/);
  await page.getByRole("button", { name: "Back to what was read" }).click();
  await page.locator(".band.conditional").waitFor();
  await context.close();
});

test("photos taken without a network wait, survive a reload, and are sent once", async () => {
  const { page, context } = await visit(chrome, running.url);
  // The worker must have the page before the network goes.
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await place(page, "Mill", { zone: "21", dust: "grain" });
  const sent = [];
  page.on("request", (request) => request.url().endsWith("/v1/readings") && sent.push(request.url()));
  await context.setOffline(true);
  await snap(page, "mill-dust-fan-motor.jpg");
  await page.getByText("1 photo waiting").waitFor();
  await page.reload();
  await page.getByText("1 photo waiting").waitFor();
  assert.match(await page.locator("main").innerText(), /mill-dust-fan-motor\.jpg · Mill/);
  await shot(page, "photo-waiting-phone");
  sent.length = 0;
  await context.setOffline(false);
  await page.locator(".band").waitFor(READ);
  assert.equal(sent.length, 1);
  assert.equal(await page.getByText("1 photo waiting").count(), 0);
  await page.reload();
  assert.match(await page.locator(".choices").innerText(), /Mill/, "the answer outlives a reload");
  await context.close();
});

test("what the service refuses is said in its words and stays until somebody decides", async () => {
  const { page, context } = await visit(chrome, running.url);
  await page.locator('input[type="file"][capture]').setInputFiles({
    name: "not-a-photo.jpg",
    mimeType: "image/jpeg",
    buffer: Buffer.from("this is no photo"),
  });
  await page.getByText("The service did not take this photo").waitFor();
  await accessible(page);
  await page.getByRole("button", { name: "Remove" }).click();
  await page.getByText("not-a-photo.jpg").waitFor({ state: "detached" });
  await context.close();
});

test("hostile text of a plate is shown as text", async () => {
  const { page, context, complaints } = await visit(chrome, `${running.url}#/learn`);
  const hostile = `Ex db IIC T4 Gb\n<img src=x onerror="document.title='owned'"><script>document.title='owned'</script>`;
  await page.getByLabel(/Marking, or all lines/).fill(hostile);
  await page.getByRole("button", { name: "Take apart" }).click();
  await page.locator(".pieces").waitFor();
  assert.match(await page.locator("main").innerText(), /img src=x/);
  assert.equal(await page.locator("main img, main script").count(), 0);
  assert.notEqual(await page.title(), "owned");
  assert.deepEqual(complaints, []);
  await context.close();
});

test("hostile text on a photo and in its name is shown as text", async () => {
  const { page, context, complaints } = await visit(chrome, running.url);
  const hostile = `<img src=x onerror=alert(1)>`;
  const asked = [];
  page.on("dialog", (dialog) => (asked.push(dialog.message()), dialog.dismiss()));
  await snapBytes(page, `${hostile}.png`, await drawn(page, ["II 2 G Ex db IIC T4 Gb", hostile, "Serial No. <b>7</b>"]), "image/png");
  await page.locator(".band").waitFor(READ);
  const text = await page.locator("main").innerText();
  assert.match(text, /Ex db IIC T4 Gb/);
  assert.match(text, /onerror/, "it was read, and is shown");
  assert.equal(await page.locator("main img").count(), 1, "the photo alone");
  assert.deepEqual(asked, []);
  assert.deepEqual(complaints, []);
  await context.close();
});

test("the policy of the page forbids script from anywhere else", async () => {
  const answer = await fetch(running.url);
  const policy = answer.headers.get("content-security-policy");
  assert.match(policy, /default-src 'none'/);
  assert.doesNotMatch(policy, /unsafe|https?:|\*/);
  const again = await fetch(running.url, { headers: { "If-None-Match": answer.headers.get("etag") } });
  assert.equal(again.status, 304);
});

test("places are kept, say what they ask for, and can be forgotten", async () => {
  const { page, context } = await visit(chrome, running.url);
  await place(page, "Effluent plant", { zone: "1", gas: "methane" });
  await page.getByRole("link", { name: "Places" }).click();
  await page.getByText("EPL Gb (II 2 G) or better").waitFor();
  await accessible(page);
  await reachable(page);
  await shot(page, "places-phone");
  await page.reload();
  await page.getByText("EPL Gb (II 2 G) or better").waitFor();
  await page.getByRole("button", { name: "Forget this place" }).click();
  await page.getByText("No place yet").waitFor();
  await context.close();
});

test("a place that cannot be is refused with the reason", async () => {
  const { page, context } = await visit(chrome, running.url);
  await place(page, "Nowhere", { zone: "1", gas: "no such gas" });
  await page.getByRole("link", { name: "Marking", exact: true }).click();
  await page.getByLabel(/Marking, or all lines/).fill("Ex db IIC T4 Gb");
  await page.getByRole("button", { name: "Take apart" }).click();
  await page.locator(".problem, .band.undecided").first().waitFor();
  await context.close();
});

test("what is typed outlives a reload", async () => {
  const { page, context } = await visit(chrome, `${running.url}#/loop`);
  await page.getByLabel("Uo, V").fill("28");
  await page.reload();
  assert.equal(await page.getByLabel("Uo, V").inputValue(), "28");
  await page.goto(`${running.url}#/learn`);
  await page.getByLabel(/Marking, or all lines/).fill("Ex ia IIC T4 Ga");
  await page.reload();
  assert.equal(await page.getByLabel(/Marking, or all lines/).inputValue(), "Ex ia IIC T4 Ga");
  await context.close();
});

test("a loop is checked with figures and from the text of a plate", async () => {
  const { page, context, complaints } = await visit(chrome, `${running.url}#/loop`);
  const source = { "Uo, V": "28", "Io, mA": "93", "Po, mW": "651", "Co, nF": "83", "Lo, µH": "4200" };
  for (const [label, value] of Object.entries(source)) await page.getByLabel(label).fill(value);
  const device = page.getByRole("group", { name: "Device 1" });
  await device.getByText("Fill in from the text of a plate").click();
  await device.getByRole("textbox", { name: /Marking/ }).fill("Ex ia IIC T4 Ga; Ui 30 V, Ii 100 mA, Pi 1 W, Ci 3 nF, Li 10 µH");
  await device.getByRole("button", { name: "Fill in" }).click();
  await page.waitForFunction(() => [...document.querySelectorAll("input")].some((i) => i.value === "1000"));
  await page.getByLabel("Length, m").fill("300");
  await page.getByLabel("Capacitance, pF/m").fill("200");
  await page.getByLabel("Inductance, µH/m").fill("1");
  await page.getByRole("button", { name: "Check the loop" }).click();
  await page.locator(".band.suitable").waitFor();
  assert.match(await page.locator("main").innerText(), /63 \/ 83 nF/);
  assert.match(await page.locator("main").innerText(), /Co: 400 m/);
  await accessible(page);
  await reachable(page);
  await shot(page, "loop-phone");
  assert.deepEqual(complaints, []);
  await context.close();
});

test("an answer that comes late is not shown beside other values or another place", async () => {
  const { page, context } = await visit(chrome, `${running.url}#/loop`);
  let pass;
  const passed = new Promise((done) => (pass = done));
  await page.route("**/v1/loops", async (route) => {
    const answer = await route.fetch();
    await passed;
    await route.fulfill({ response: answer });
  });
  await page.getByLabel("Uo, V").fill("28");
  const asked = page.waitForRequest("**/v1/loops");
  await page.getByRole("button", { name: "Check the loop" }).click();
  await asked;
  await page.getByLabel("Uo, V").fill("280");
  const answered = page.waitForResponse("**/v1/loops");
  pass();
  await answered;
  await page.waitForTimeout(300);
  assert.equal(await page.locator(".band").count(), 0);
  // A marking that was judged for one place is judged again for the next.
  await page.goto(`${running.url}#/learn`);
  await place(page, "Still house", { zone: "1", gas: "ethanol" });
  await page.getByRole("button", { name: "II 2(1) G Ex db" }).click();
  await page.getByText("Still house: zone 1, ethanol").waitFor();
  await place(page, "Tank top", { zone: "0", gas: "ethanol" });
  await page.getByText("Tank top: zone 0, ethanol").waitFor();
  await page.locator(".band.unsuitable").waitFor();
  await context.close();
});

test("German and French speak throughout, and the choice is kept", async () => {
  for (const [locale, word, take] of [["de-DE", "Kennzeichnung", "Foto aufnehmen"], ["fr-FR", "Marquage", "Prendre une photo"]]) {
    const { page, context } = await visit(chrome, running.url, { locale });
    await page.getByText(take).waitFor();
    await page.getByRole("link", { name: word, exact: true }).click();
    await accessible(page);
    await shot(page, `learn-${locale}`);
    await page.getByRole("combobox", { name: /Language/ }).selectOption("en");
    await page.reload();
    await page.getByText("Take a marking apart").waitFor();
    await context.close();
  }
});

for (const [name, options] of [
  ["320 px", { viewport: { width: 320, height: 640 } }],
  ["dark", { colorScheme: "dark" }],
  ["desk", { viewport: DESK }],
]) {
  test(`every view is whole and accessible: ${name}`, async () => {
    const { page, context, complaints } = await visit(chrome, running.url, options);
    await place(page, "Still house", { zone: "1", gas: "ethanol" });
    for (const view of ["photo", "places", "learn", "loop"]) {
      await page.goto(`${running.url}#/${view}`);
      await page.locator("h1").first().waitFor();
      if (view === "learn") {
        await page.locator(".choices button").first().click();
        await page.locator(".pieces").waitFor();
      }
      await accessible(page);
      await reachable(page);
      await shot(page, `${view}-${name.replace(" ", "")}`);
    }
    assert.deepEqual(complaints, []);
    await context.close();
  });
}

test("text of twice the size still fits a phone", async () => {
  const { page, context } = await visit(chrome, `${running.url}#/learn`, { viewport: PHONE });
  await page.addStyleTag({ content: "" }).catch(() => undefined);
  await page.evaluate(() => (document.documentElement.style.fontSize = "200%"));
  await page.locator(".choices button").first().click();
  await page.locator(".pieces").waitFor();
  await reachable(page);
  await shot(page, "learn-twice");
  await context.close();
});

test("outcomes stand out at 7:1 in light and dark", async () => {
  for (const colorScheme of ["light", "dark"]) {
    const { page, context } = await visit(chrome, running.url, { colorScheme });
    const worst = await page.evaluate(() => {
      const luminance = (colour) => {
        const [r, g, b] = colour.match(/\d+/g).map((v) => {
          const c = Number(v) / 255;
          return c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
        });
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
      };
      return ["suitable", "conditional", "undecided", "unsuitable"].map((outcome) => {
        const band = document.createElement("p");
        band.className = `band ${outcome}`;
        const word = document.createElement("strong");
        word.className = `outcome ${outcome}`;
        band.append(word);
        document.body.append(band);
        const [a, b] = [luminance(getComputedStyle(word).color), luminance(getComputedStyle(band).backgroundColor)];
        return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
      });
    });
    assert.ok(Math.min(...worst) >= 7, `${colorScheme}: ${worst}`);
    await context.close();
  }
});
