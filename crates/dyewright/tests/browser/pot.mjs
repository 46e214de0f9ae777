// Walks of what is shown and sent: a first paint on every page there is, ladders, the days planned anew, one bath sheet on
// paper. Called by run.mjs, which sees to the browser and to what must hold on every page.

import { createServer } from "node:http";

/** Most bytes that may be needed before a page shows its first words. */
const FIRST_PAINT = 150_000;

export async function potWalks({ walk, browser, entered, looked, planned, must, origin, costume, shots }) {
  await walk("every page there is shows its first words within 150 kB", async () => {
    const page = await entered(1280);
    await page.goto(`${origin}${costume}`);
    await planned(page);
    const [cookie] = await page.context().cookies();
    const headers = { cookie: `${cookie.name}=${cookie.value}` };
    const ask = async (path) => {
      const answer = await fetch(`${origin}${path}`, { headers, redirect: "manual" });
      return { kind: answer.headers.get("content-type") ?? "", body: Buffer.from(await answer.arrayBuffer()) };
    };
    const assets = new Map();
    const size = async (path) => {
      if (!assets.has(path)) assets.set(path, (await ask(path)).body.length);
      return assets.get(path);
    };
    const [all, left] = [new Set(), ["/", costume]];
    const large = [];
    let [pages, most, mostOf] = [0, 0, ""];
    while (left.length) {
      const path = left.pop();
      if (all.has(path)) continue;
      all.add(path);
      const { kind, body } = await ask(path);
      if (!kind.startsWith("text/html")) continue;
      pages += 1;
      const text = body.toString("utf8");
      for (const [, to] of text.matchAll(/ href="(\/[^"#]*)/g)) left.push(to.replaceAll("&amp;", "&"));
      let needed = body.length;
      for (const [tag] of text.matchAll(/<(?:link|script)\b[^>]*>/g)) {
        const waits = /rel="stylesheet"/.test(tag) || (/ src=/.test(tag) && !/type="module"| defer| async/.test(tag));
        const to = tag.match(/ (?:href|src)="([^"]*)"/)?.[1];
        if (waits && to?.startsWith("/")) needed += await size(to);
      }
      if (needed > FIRST_PAINT) large.push([path, body, needed]);
      else if (needed > most) [most, mostOf] = [needed, path];
    }
    must(pages > 100, `only ${pages} pages were found`);
    console.log(`   ${pages} pages; whole, with all they wait for, at most ${most} bytes (${mostOf})`);
    for (const [path, body, needed] of large) {
      // What is printed whole is longer than that: its first words must show while the rest has not been sent.
      must(/<head>[^]*<style>/.test(body.subarray(0, 4000).toString("utf8")), `${path} is ${needed} bytes and waits for a look`);
      const shown = await paintedFrom(browser, body.subarray(0, FIRST_PAINT), shots && `${shots}/first-paint${path.replace(/\W+/g, "-")}.png`);
      must(shown, `${path} shows nothing of its ${needed} bytes before more than ${FIRST_PAINT} are there`);
      console.log(`   ${path}: ${needed} bytes, painted from the first ${FIRST_PAINT}`);
    }
    await page.context().close();
  });

  await walk("a dye's ladder: drawn, in words, in figures", async () => {
    for (const width of [360, 768, 1280]) {
      const page = await entered(width);
      await page.goto(`${origin}/shelf`);
      await page.getByRole("link", { name: "Its ladder : golden yellow" }).first().click();
      await planned(page);
      must(await page.getByRole("img", { name: /The ladder of golden yellow on white cotton/ }).count() === 1, "no drawing");
      must(await page.locator("svg circle.rung").count() === 3, "not every swatch is drawn");
      must(await page.locator("svg .ladder-line.own").count() === 1, "the line does not look like the maker's own");
      await looked(page, "ladder-own", width);
      await page.goto(`${origin}/shelf/dye?of=starter&id=acid-navy`);
      await planned(page);
      must(await page.locator("svg .ladder-line.expected").count() === 1, "an estimate looks like the maker's own");
      await looked(page, "ladder-estimate", width);
      await page.context().close();
    }
  });

  await walk("one bath sheet by itself on paper has its cautions in full", async () => {
    const page = await entered(1280);
    await page.emulateMedia({ media: "print" });
    for (const of of ["coat", "satchel", "veil"]) {
      await page.goto(`${origin}${costume}/print/sheets-${of}`);
      const cautions = page.locator(".cautions li .full, .all-cautions li");
      must(await cautions.count() > 0, `${of}: no caution at all`);
      const folded = await cautions.evaluateAll((all) => all.filter((one) => !one.checkVisibility()).length);
      must(folded === 0, `${of}: ${folded} cautions by name only`);
      if (shots) await page.pdf({ path: `${shots}/sheets-${of}.pdf`, format: "A4" });
    }
    await page.context().close();
  });

  await walk("what goes onto paper, as PDF", async () => {
    if (!shots) return;
    const page = await entered(1280);
    for (const what of ["cards", "shopping-list", "finished", "plan", "sheets"]) {
      await page.goto(`${origin}${costume}/print/${what}`);
      await page.pdf({ path: `${shots}/print-${what}.pdf`, format: "A4" });
    }
    for (const [path, name] of [[`${costume}/p/satchel/bath/0`, "bath"], [`${costume}/p/coat`, "piece"], [`${costume}/days`, "days"], ["/shelf/dye?of=starter&id=acid-navy", "ladder"]]) {
      await page.goto(`${origin}${path}`);
      await planned(page);
      const pdf = await page.pdf({ path: `${shots}/print-${name}.pdf`, format: "A4" });
      must(pdf.length > 1000, `${name} prints nothing`);
    }
    await page.context().close();
  });
}

/** Whether a browser shows something of a page of which only these bytes ever come. */
async function paintedFrom(browser, bytes, shot) {
  const server = createServer((_, answer) => {
    answer.writeHead(200, { "content-type": "text/html; charset=utf-8" });
    answer.write(bytes);
  });
  await new Promise((ready) => server.listen(0, "127.0.0.1", ready));
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  const page = await context.newPage();
  await page.goto(`http://127.0.0.1:${server.address().port}/`, { waitUntil: "commit" });
  const painted = () => performance.getEntriesByName("first-contentful-paint").length > 0 && document.querySelector("h1") !== null;
  const shown = await page.waitForFunction(painted, null, { timeout: 60_000, polling: 100 }).then(() => true, () => false);
  if (shot) await page.screenshot({ path: shot, timeout: 20_000 }).catch(() => {});
  await context.close();
  server.closeAllConnections();
  server.close();
  return shown;
}
