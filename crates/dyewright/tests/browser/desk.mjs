// Walks at the desk: the shelf written, swatches looked for, what must match, work that is stopped, pages printed, the
// whole way by keyboard. Called by run.mjs, which sees to the browser and to what must hold on every page.

export async function deskWalks({ walk, entered, looked, planned, must, origin, costume }) {
  await walk("a dye is changed on the shelf, refused with what was typed, mended, and taken back", async () => {
    for (const width of [360, 1280]) {
      const page = await entered(width);
      await page.goto(`${origin}/shelf`);
      const tile = page.locator(".tile", { has: page.getByRole("heading", { name: "greenish yellow", exact: true }) }).first();
      await tile.getByRole("link", { name: /^Change it\s*: greenish yellow/ }).click();
      await looked(page, "shelf-form", width);
      await page.getByLabel("What is left, g").fill("lots");
      await page.getByLabel("Lot", { exact: true }).fill("K 7");
      await page.getByRole("button", { name: "Save" }).click();
      must(/lots/.test(await page.getByRole("alert").innerText()), "what cannot be read is not said");
      must(await page.getByLabel("Lot", { exact: true }).inputValue() === "K 7", "what was typed is gone");
      await looked(page, "shelf-refused", width);
      await page.getByLabel("What is left, g").fill("12.5");
      await page.getByRole("button", { name: "Save" }).click();
      must(/12.5\sg left.*Lot K 7/s.test(await tile.innerText()), "the change is not shown");
      await page.getByRole("button", { name: /^Take back: reactive-lemon/ }).click();
      must(/40\sg left/.test(await tile.innerText()), "it was not taken back");
      await page.context().close();
    }
  });

  await walk("a dye is put on the shelf and taken off", async () => {
    const page = await entered(768);
    await page.goto(`${origin}/shelf`);
    await page.locator("summary", { hasText: /^A dye$/ }).click();
    await page.getByLabel("What it is called").last().fill("Brick");
    await page.getByLabel("The starter dye it is nearest to").last().selectOption("acid-scarlet");
    await page.getByRole("button", { name: "Put it on the shelf" }).first().click();
    const tile = page.locator(".tile", { has: page.getByRole("heading", { name: "Brick", exact: true }) });
    must(await tile.count() === 1, "it is not on the shelf");
    await tile.getByRole("link", { name: /^Change it\s*: Brick/ }).click();
    await page.getByRole("button", { name: /^Take it off the shelf/ }).click();
    must(await tile.count() === 0, "it is still on the shelf");
    await page.context().close();
  });

  await walk("swatches are looked for by colour, dye and fibre", async () => {
    for (const width of [360, 1280]) {
      const page = await entered(width);
      await page.goto(`${origin}/book`);
      await page.getByLabel("The colour", { exact: true }).fill("38 42 20");
      await page.getByRole("button", { name: "Look for it" }).click();
      must(/^Yes: 1 swatch/.test(await page.locator("#swatches").innerText()), "the swatch is not found");
      must(await page.getByRole("img", { name: /^As read: .*L\*/ }).count() === 1, "its chip has no name");
      await looked(page, "book-found", width);
      await page.getByLabel("The colour", { exact: true }).fill("90 -60 60");
      await page.getByRole("button", { name: "Look for it" }).click();
      must(/^No: nothing within 5/.test(await page.locator("#swatches").innerText()), "nothing is told");
      await looked(page, "book-none", width);
      await page.getByLabel("The colour", { exact: true }).fill("reddish");
      await page.getByRole("button", { name: "Look for it" }).click();
      must(/reddish/.test(await page.getByRole("alert").innerText()), "what cannot be read is not said");
      must(await page.getByLabel("The colour", { exact: true }).inputValue() === "reddish", "what was typed is gone");
      await looked(page, "book-refused", width);
      await page.context().close();
    }
  });

  await walk("the colours are brought together by a button, and each alone again", async () => {
    const page = await entered(1280);
    await page.goto(`${origin}${costume}`);
    await planned(page);
    const part = page.locator("section.together");
    must(!/costume file|\[costume\]/.test(await part.innerText()), "it sends its reader to the file");
    await page.getByRole("button", { name: "Let the recipes aim at the colours brought together" }).click();
    await planned(page);
    must(/aim at the colours brought together/.test(await part.innerText()), "the recipes do not follow");
    await page.getByRole("button", { name: /^Take back: colours brought/ }).click();
    await planned(page);
    must(await page.getByRole("button", { name: "Let the recipes aim at the colours brought together" }).count() === 1, "it was not taken back");
    await page.context().close();
  });

  await walk("a matched set: from the costume to every pair under every light", async () => {
    const page = await entered(768);
    await page.goto(`${origin}${costume}`);
    await planned(page);
    await page.getByRole("link", { name: /^Every pair, edge to edge/ }).click();
    must(await page.getByRole("heading", { level: 4, name: /\(left\) and .* \(right\)/ }).count() >= 1, "no pair is shown");
    const unnamed = await page.locator(".chip:not([aria-label])").count();
    must(unnamed === 0, `${unnamed} chips have no name`);
    await looked(page, "match-set", 768);
    await page.context().close();
  });

  await walk("long thinking is stopped, and begun again", async () => {
    const page = await entered(768);
    await page.goto(`${origin}${costume}/swatches?dye=acid-navy`);
    must(await page.getByRole("button", { name: "Stop" }).count() === 1, "it cannot be stopped");
    await looked(page, "swatches-busy", 768);
    await page.getByRole("button", { name: "Stop" }).click();
    await planned(page);
    must(await page.getByText("This was stopped.").count() === 1, "it is not said that it was stopped");
    await page.getByRole("button", { name: "Begin it anew" }).click();
    await planned(page);
    must(await page.getByRole("heading", { name: "The swatches to come, the most telling first" }).count() === 1, "no answer");
    await looked(page, "swatches", 768);
    await page.setViewportSize({ width: 360, height: 900 });
    await looked(page, "swatches", 360);
    await page.context().close();
  });

  await walk("everything to print prints", async () => {
    const page = await entered(1280);
    await page.goto(`${origin}${costume}/print`);
    await planned(page);
    await looked(page, "print", 1280);
    const links = await page.locator("main a[href*='/print/']").evaluateAll((all) => all.filter((a) => !a.hasAttribute("download")).map((a) => a.getAttribute("href")));
    const one = (what) => links.find((link) => link.endsWith(what));
    for (const what of ["/plan", "/sheets", "/cards", "/shopping-list", "/finished", "/sheets-coat", "/hand-out-coat", "/record-kerchief"]) {
      const link = one(what);
      must(link, `nothing leads to ${what}`);
      const answer = await page.goto(`${origin}${link}`);
      must(answer.status() === 200, `${what} answers ${answer.status()}`);
      const pdf = await page.pdf({ format: "A4", preferCSSPageSize: true });
      const pages = pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g)?.length ?? 0;
      must(pages >= 1 && pages < 120, `${what} has ${pages} pages`);
      // The plan and all sheets are metres of what other pages show by parts: their parts are checked, they are only printed.
      if (!["/plan", "/sheets"].includes(what)) await looked(page, `printed${what.replace("/", "-")}`, 1280, { pdf });
    }
    await page.goto(`${origin}${costume}/print/finished`);
    must(await page.getByRole("img", { name: /The reference picture/ }).count() === 1, "the reference is not there");
    await page.setViewportSize({ width: 360, height: 900 });
    await looked(page, "printed-finished", 360);
    await page.context().close();
  });

  await walk("a question that is typed survives a reload and the way back", async () => {
    const page = await entered(360);
    await page.goto(origin);
    await page.getByLabel("The cloth", { exact: true }).fill("linen");
    await page.getByLabel("The colour it shall be").fill("#405060");
    await page.reload();
    must(await page.getByLabel("The cloth", { exact: true }).inputValue() === "linen", "what was typed is gone after a reload");
    await page.getByRole("button", { name: "Answer" }).click();
    await planned(page);
    await page.goBack();
    must(await page.getByLabel("The colour it shall be").inputValue() === "#405060", "what was typed is gone on the way back");
    await page.context().close();
  });

  await walk("the keyboard alone: from the question to a step done beside the pot", async () => {
    const page = await entered(1280);
    const focused = () => page.evaluate(() => {
      const at = document.activeElement;
      const seen = getComputedStyle(at);
      const name = (at.getAttribute("aria-label") ?? at.textContent ?? "").trim();
      return { id: at.id, name, tag: at.tagName, to: at.getAttribute("href") ?? "", seen: seen.outlineStyle !== "none" || seen.boxShadow !== "none" };
    });
    const tabTo = async (what, fits) => {
      for (let i = 0; i < 400; i += 1) {
        await page.keyboard.press("Tab");
        const at = await focused();
        if (!["BODY", "MAIN"].includes(at.tag)) must(at.seen, `focus is not seen on ${at.tag} ${at.name.slice(0, 40)}`);
        if (fits(at)) return;
      }
      throw new Error(`${what} is not reached by Tab`);
    };
    await page.goto(origin);
    await tabTo("the cloth", (at) => at.id === "cloth");
    await page.keyboard.type("cotton");
    await tabTo("the colour", (at) => at.id === "colour");
    await page.keyboard.type("#34506b");
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/answer/);
    await planned(page);
    await tabTo("its name", (at) => at.id === "name");
    await page.keyboard.type("By keyboard");
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/c\/by-keyboard/);
    await planned(page);
    await tabTo("the piece", (at) => at.to.includes("/p/"));
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/p\//);
    await planned(page);
    await tabTo("the swatch bath", (at) => /^The swatch bath/.test(at.name));
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/bath\//);
    await tabTo("done", (at) => at.tag === "BUTTON" && /^Done/.test(at.name));
    await page.keyboard.press("Enter");
    await page.waitForURL(/#step-/);
    must(/1 of \d+ steps done/.test(await page.locator(".clock").innerText()), "the step is not ticked");
    await page.context().close();
  });

  await walk("every page of the desk is narrow enough at 200 % and small enough for a first paint", async () => {
    // WCAG 1.4.10: 1280 px at 200 % are 640 px, at 400 % 320 px. 150 kB: what the page, its look and its script come to.
    const paths = ["/", "/shelf", "/shelf?of=starter", "/book", "/book?colour=38+42+20", "/phone", "/charts", "/charts/read", costume, `${costume}/match`, `${costume}/swatches`,
      `${costume}/days`, `${costume}/days?day=2`, `${costume}/shopping`, `${costume}/print`, `${costume}/file`, `${costume}/p/coat`, `${costume}/p/coat/bath/0`];
    for (const width of [640, 320]) {
      const page = await entered(width);
      let bytes = 0;
      page.on("response", async (r) => { bytes += (await r.body().catch(() => Buffer.alloc(0))).length; });
      for (const path of paths) {
        await page.goto(`${origin}${path}`);
        await planned(page);
        bytes = 0;
        await page.goto(`${origin}${path}`, { waitUntil: "networkidle" });
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        must(wide <= 0, `${path} is ${wide} px too wide at ${width} px`);
        must(bytes <= 150_000, `${path} needs ${bytes} bytes`);
        must(await page.evaluate(() => document.getAnimations().length) === 0, `${path} moves`);
      }
      await page.context().close();
    }
  });
}
