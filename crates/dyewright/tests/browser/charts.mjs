// Walks with charts and cards of one's own: values taken in, a card printed, read once and used, dyed cloths, one white, a
// piece dyed whole read from a photograph; a file spoiled by hand. Called by run.mjs, which sees to the browser and to what
// must hold on every page.

import { readFile } from "node:fs/promises";

export async function chartWalks({ walk, entered, looked, planned, must, origin, costume, picture, sent }) {
  const places = JSON.parse(await readFile(picture("places.json"), "utf8"));
  const card = `${origin}${costume}/p/sash/bath/0`;
  const fill = async (page, labels, values) => {
    for (const [n, label] of labels.entries()) await page.getByLabel(label, { exact: true }).fill(String(Math.round(values[n])));
  };
  // Waits for an address; where it does not come, says where the page is and what it says.
  const arrived = async (page, address) => {
    try { await page.waitForURL(address); } catch {
      const said = await page.locator("#trouble").innerText({ timeout: 500 }).catch(() => "no trouble is told");
      throw new Error(`not at ${address} but at ${page.url()}: ${said.replaceAll("\n", " ")}`);
    }
  };
  const place = ["From the left", "From the top", "Width", "Height"];
  const read = async (page, at) => {
    await fill(page, place, at);
    await page.getByRole("button", { name: "Read the cloth there" }).click();
    await arrived(page, /[?&]h=\d+/);
    await planned(page);
    must(await page.getByRole("img", { name: /^As read: / }).count() >= 1, "no reading");
    must(/Nine of ten such readings lie within/.test(await page.locator("main").innerText()), "the spread is not told");
  };
  const choose = async (page, words) => {
    await page.locator("#beside > summary").click();
    await page.getByLabel(words).check();
  };
  const goOn = async (page) => {
    const loaded = page.waitForEvent("load");
    await page.getByRole("button", { name: "Go on with this" }).click();
    await loaded;
    await planned(page);
  };

  await walk("charts of one's own: a text taken in, one that is none refused with what was typed", async () => {
    for (const width of [360, 768, 1280]) {
      const page = await entered(width);
      await page.goto(`${origin}/charts`);
      await looked(page, "charts", width);
      await page.getByLabel("What it is called").fill(`my cloths ${width}`);
      await page.getByLabel("The text file").setInputFiles(picture("drawing.png"));
      await page.getByRole("button", { name: "Take it in" }).click();
      must(/is no text/.test(await page.getByRole("alert").innerText()), "a picture is taken for a text");
      must(await page.getByLabel("What it is called").inputValue() === `my cloths ${width}`, "what was typed is gone");
      await looked(page, "charts-refused", width);
      await page.getByLabel("The text file").setInputFiles(picture("own.txt"));
      await page.getByRole("button", { name: "Take it in" }).click();
      must(await page.getByText(`Kept: “my-cloths-${width}.txt”`).count() === 1, "it was not taken in");
      await page.context().close();
    }
  });

  await walk("read by one's own dyed cloths: their corners touched, then the cloth drawn", async () => {
    for (const width of [360, 1280]) {
      const page = await entered(width);
      await page.goto(card);
      await planned(page);
      await sent(page, "own.jpg", "Send the photograph");
      must(/chart/.test(await page.getByRole("alert").innerText()), "cloths are taken for the bought chart");
      await page.getByLabel("My own dyed cloths").check();
      await goOn(page);
      await page.getByLabel("The file with their colours").selectOption("my-cloths-360.txt");
      const at = page.locator(".point-at");
      await at.scrollIntoViewIfNeeded();
      const box = await at.boundingBox();
      const by = box.width / Number(await at.getAttribute("data-width"));
      for (const [x, y] of places.ownCorners) await at.click({ position: { x: x * by, y: y * by } });
      must(await page.locator(".spot.drawn").count() === 4, "the corners are not marked");
      await page.getByLabel("Cloths in a row").fill("4");
      await looked(page, "photo-cloths", width);
      await page.getByLabel("Cloths in a row").press("Enter");
      await arrived(page, /corners=/);
      await planned(page);
      await read(page, places.ownCloth);
      must(/card/.test(await page.locator("section", { has: page.locator("#reading") }).innerText()), "it does not say by what");
      await looked(page, "photo-by-cloths", width);
      await page.context().close();
    }
  });

  await walk("read by one white alone: said to be weak", async () => {
    for (const width of [360, 1280]) {
      const page = await entered(width);
      await page.goto(card);
      await planned(page);
      await sent(page, "white.jpg", "Send the photograph");
      await choose(page, "Only a white that I know");
      await goOn(page);
      await fill(page, place, places.white);
      await page.getByLabel("What white it is").selectOption("ptfe");
      await page.getByLabel("The kind of light").selectOption("daylight");
      await looked(page, "photo-white", width);
      await page.getByRole("button", { name: "Go on to the cloth" }).click();
      await arrived(page, /white_is=ptfe/);
      await planned(page);
      await read(page, places.whiteCloth);
      must(/several times that of a chart/.test(await page.locator("main").innerText()), "it is not said to be weak");
      await looked(page, "photo-by-white", width);
      await page.context().close();
    }
  });

  await walk("a card printed at home: drawn, read once beside the chart, kept, and cloth read by it", async () => {
    const page = await entered(768);
    await page.goto(`${origin}/charts`);
    await page.getByLabel("A code for this print").fill("home-1");
    const [file] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "The card as PDF" }).click()]);
    must(file.suggestedFilename() === "colour-card-home-1-a5.pdf", file.suggestedFilename());
    await page.getByRole("link", { name: "Read it once" }).click();
    await sent(page, "card.jpg", "Send the photograph");
    await looked(page, "card-ask", 768);
    await page.getByLabel("The code that stands on it").fill("home-1");
    await page.getByLabel("The light it was taken in").fill("north window");
    await page.getByRole("button", { name: "Read the card" }).click();
    await arrived(page, /code=home-1/);
    await planned(page);
    must(await page.getByRole("heading", { name: "How the card reads" }).count() === 1, "the card is not read");
    await looked(page, "card-read", 768);
    await page.setViewportSize({ width: 360, height: 900 });
    await looked(page, "card-read", 360);
    await page.getByRole("button", { name: "Keep its values" }).click();
    must(await page.getByText("Kept: “printed-card-home-1.txt”").count() === 1, "it is not kept");
    await page.goto(card);
    await planned(page);
    await sent(page, "cloth-by-card.jpg", "Send the photograph");
    if (!(await page.locator("#beside").evaluate((d) => d.open))) await page.locator("#beside > summary").click();
    await page.getByLabel("A chart of my own").check();
    await page.getByLabel("The chart, where it is your own").selectOption("printed-card-home-1.txt");
    await goOn(page);
    must(await page.getByText("The chart was found (48 patches)").count() === 1, "the card is not found");
    await read(page, places.byCard);
    must(/were read from a photograph and not measured/.test(await page.locator("main").innerText()), "its limits are not told");
    await looked(page, "photo-by-card", 360);
    await page.context().close();
  });

  await walk("a piece dyed whole is read from a photograph and judged", async () => {
    const page = await entered(360);
    const middle = JSON.parse(await readFile(picture("photo.json"), "utf8")).middle;
    await page.goto(`${origin}${costume}/p/veil/bath/1`);
    await planned(page);
    await page.getByRole("button", { name: "Record what was really done" }).click();
    await planned(page);
    await page.goto(`${origin}${costume}/p/veil`);
    await planned(page);
    await page.locator("#dyed-photo").setInputFiles(picture("photo.jpg"));
    await page.locator(".dyed").getByRole("button", { name: "Send the photograph" }).click();
    await arrived(page, /dyed\/photo\/\d+/);
    await planned(page);
    await looked(page, "dyed-photo", 360);
    await read(page, [middle[0] - 15, middle[1] - 15, 30, 30]);
    await looked(page, "dyed-photo-read", 360);
    await page.getByRole("button", { name: "Record how it came out" }).click();
    await arrived(page, /p\/veil#dyed/);
    await planned(page);
    must(await page.getByRole("heading", { name: "What the dyed piece says" }).count() === 1, "no verdict");
    await page.getByRole("button", { name: /^Take this reading back/ }).click();
    await planned(page);
    await page.getByRole("button", { name: /^Take this dyeing back/ }).first().click();
    await planned(page);
    await page.context().close();
  });

  await walk("the keyboard alone: from a photograph to its reading, recorded", async () => {
    const page = await entered(1280);
    const middle = JSON.parse(await readFile(picture("photo.json"), "utf8")).middle;
    const tabTo = async (wanted) => {
      for (let i = 0; i < 400; i += 1) {
        await page.keyboard.press("Tab");
        const [name, seen] = await page.evaluate(() => {
          const at = document.activeElement;
          const look = getComputedStyle(at);
          return [(at.getAttribute("aria-label") ?? at.labels?.[0]?.textContent ?? at.textContent ?? "").trim(),
            ["BODY", "MAIN", "DIV"].includes(at.tagName) || at.matches(".trouble") || look.outlineStyle !== "none" || look.boxShadow !== "none"];
        });
        must(seen, `focus is not seen on ${name}`);
        if (wanted.test(name)) return;
      }
      throw new Error(`${wanted} is not reached by Tab`);
    };
    await page.goto(`${origin}${costume}/p/spats`);
    await planned(page);
    await tabTo(/^Read it from a photograph/);
    const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Space")]);
    await chooser.setFiles(picture("photo.jpg"));
    await tabTo(/^Send the photograph/);
    await page.keyboard.press("Enter");
    await arrived(page, /photo\/\d+/);
    await planned(page);
    await tabTo(/^Crosshair/);
    const size = await page.locator(".point-at").evaluate((one) => [Number(one.dataset.width), Number(one.dataset.height)]);
    const step = Math.max(1, Math.round(Math.min(...size) / 100));
    const move = async (from, to, keys) => {
      const by = Math.round(to) - Math.round(from);
      const key = by < 0 ? keys[0] : keys[1];
      for (let i = 0; i < Math.floor(Math.abs(by) / step); i += 1) await page.keyboard.press(key);
      for (let i = 0; i < Math.abs(by) % step; i += 1) await page.keyboard.press(`Shift+${key}`);
    };
    await move(size[0] / 2, middle[0] - 15, ["ArrowLeft", "ArrowRight"]);
    await move(size[1] / 2, middle[1] - 15, ["ArrowUp", "ArrowDown"]);
    await page.keyboard.press("Space");
    await move(0, 30, ["ArrowLeft", "ArrowRight"]);
    await move(0, 30, ["ArrowUp", "ArrowDown"]);
    await page.keyboard.press("Space");
    await page.keyboard.press("Enter");
    await arrived(page, /[?&]w=30/);
    await planned(page);
    must(await page.getByRole("img", { name: /^As read: / }).count() >= 1, "no reading");
    await tabTo(/^Record the swatch/);
    await page.keyboard.press("Enter");
    await arrived(page, /#swatched/);
    await planned(page);
    await page.context().close();
  });

  await walk("corners by the keyboard alone", async () => {
    const page = await entered(768);
    await page.goto(card);
    await planned(page);
    await sent(page, "own.jpg", "Send the photograph");
    await page.locator(".cross").focus();
    for (const keys of [[], ["ArrowRight"], ["ArrowDown"], ["ArrowLeft"]]) {
      for (const key of keys) for (let i = 0; i < 10; i += 1) await page.keyboard.press(key);
      await page.keyboard.press("Space");
    }
    must((await page.getByLabel("The four corners, in pixels").inputValue()).split(" ").length === 4, "not four corners");
    await page.keyboard.press("Enter");
    await arrived(page, /corners=\d+/);
    await page.context().close();
  });
}
