// Asks a browser what a reader of the pages and pictures meets, beside what tests/tests/program/accessibility.rs reads from their source:
//
//   1. axe-core, a general checker of accessibility, with its rules for WCAG 2.1 A and AA and its best practices: no violation;
//   2. the contrast of each text on what is really drawn below it, in pages and pictures: at least 4.5:1 on nine of ten of
//      its pixels (WCAG 2.1, 1.4.3; the tenth may be a grid line or a ring that the letters touch);
//   3. at a width of 320 px nothing pushes the page sideways but what has a region of its own (1.4.10), and a picture says so.
//
// Not part of the ordinary tests, since it needs a browser. From this folder:
//
//   npm install && cargo build -p fairspell-cli && node check.mjs ../../target/debug/fairspell [/usr/bin/chromium]
//
// It prints a line a page and ends with 1 if anything is wrong.

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const [program, executablePath = "/usr/bin/chromium"] = process.argv.slice(2);
if (!program) {
  console.error("expected the path of the program, found none");
  process.exit(2);
}
const demo = new URL("../../data/demo/", import.meta.url).pathname;
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const site = ["--site", "site.toml"];
const questions = {
  "no-go": ["decide", "oil", "forecast.csv", ...site, "--observed", "observed.csv", "--record", "station.csv", "--at", "2027-03-08T06:00"],
  go: ["decide", "prune", "forecast.csv", ...site, "--at", "2027-03-08T12:00"],
  "cannot tell": ["decide", "oil", "forecast.csv", ...site, "--at", "2027-03-14T20:00", "--units", "si"],
  freeze: ["freeze", "station.csv", ...site, "--on", "2027-04-10", "--risk", "10%"],
  season: ["season", "station.csv", ...site, "--year", "2027", "--explain"],
  hindcast: ["hindcast", "oil", "forecast.csv", ...site, "--season", "03-01..04-15", "--log", "done.csv"],
};

// Results of the program; 1 and 3 are answers too.
function answer(words, format) {
  const plain = format === "svg" ? words.filter((word) => word !== "--explain") : words;
  try {
    return execFileSync(resolved(program), [...plain, "--format", format], { cwd: demo, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
  } catch (error) {
    if (error.status === 1 || error.status === 3) return error.stdout;
    throw error;
  }
}

function resolved(path) {
  return new URL(path, `file://${process.cwd()}/`).pathname;
}

// The texts that are shown, with colour and place; closed details are opened first.
function texts() {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const holder = node.parentElement;
    if (!node.data.trim() || ["STYLE", "SCRIPT", "title", "desc"].includes(holder.tagName)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const style = getComputedStyle(holder);
    if (style.visibility !== "visible" || style.display === "none") continue;
    const colour = holder.namespaceURI.endsWith("svg") ? style.fill : style.color;
    for (const box of range.getClientRects()) {
      const [x, y] = [box.x + scrollX, box.y + scrollY];
      if (box.width >= 1 && box.height >= 1) found.push({ text: node.data.trim(), colour, x, y, width: box.width, height: box.height });
    }
  }
  return found;
}

// The share of the pixels below each text on which it has less than 4.5:1.
async function poor(page) {
  const all = await page.evaluate(texts);
  const hidden = "* { color: transparent !important } svg text { fill: transparent !important }";
  const style = await page.addStyleTag({ content: hidden });
  const shot = await page.screenshot({ fullPage: true });
  await style.evaluate((element) => element.remove());
  const judge = async ([all, png]) => {
    const picture = await createImageBitmap(await (await fetch(`data:image/png;base64,${png}`)).blob());
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    pen.drawImage(picture, 0, 0);
    const linear = (part) => (part <= 0.04045 * 255 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4);
    const luminance = (r, g, b) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
    const wrong = [];
    for (const { text, colour, x, y, width, height } of all) {
      if (x < 0 || x + width > picture.width || y + height > picture.height) continue; // scrolled out of its region
      const own = luminance(...colour.match(/[\d.]+/g).slice(0, 3).map(Number));
      const { data } = pen.getImageData(x, y, Math.max(1, width), Math.max(1, height));
      let low = 0;
      for (let at = 0; at < data.length; at += 4) {
        const below = luminance(data[at], data[at + 1], data[at + 2]);
        if ((Math.max(own, below) + 0.05) / (Math.min(own, below) + 0.05) < 4.5) low += 1;
      }
      const share = low / (data.length / 4);
      if (share > 0.1) wrong.push(`"${text.slice(0, 60)}" in ${colour}: ${Math.round(100 * share)} % of its ground`);
    }
    return { count: all.length, wrong };
  };
  return page.evaluate(judge, [all, shot.toString("base64")]);
}

async function checked(browser, name, markup, width) {
  const isPage = markup.startsWith("<!DOCTYPE");
  const context = await browser.newContext({ viewport: { width, height: 900 }, bypassCSP: true });
  const page = await context.newPage();
  await page.setContent(isPage ? markup : `<!DOCTYPE html><html lang="en"><title>picture</title><body style="margin:0"><main>${markup}</main>`);
  await page.evaluate(() => document.querySelectorAll("details").forEach((details) => (details.open = true)));
  const faults = [];
  if (isPage) {
    await page.evaluate(axe);
    const found = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"] }));
    faults.push(...found.violations.map((fault) => `${fault.id}: ${fault.help} (${fault.nodes.length}) ${fault.nodes[0].html.slice(0, 120)}`));
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (wide > 0) faults.push(`pushes sideways by ${wide} px`);
    const said = await page.evaluate(() => [...document.querySelectorAll("figcaption.narrow")].every((words) => words.checkVisibility()));
    if (width < 400 && !said) faults.push("does not say that its picture is wide");
  }
  const { count, wrong } = await poor(page);
  faults.push(...wrong);
  if (count === 0) faults.push("no text was found");
  await context.close();
  console.log(`${name}, ${width} px: ${count} texts, ${faults.length === 0 ? "well" : `${faults.length} faults`}`);
  for (const fault of faults) console.log(`  ${fault}`);
  return faults.length;
}

const flags = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const browser = await chromium.launch({ executablePath, args: flags });
let faults = 0;
for (const [name, words] of Object.entries(questions)) {
  const page = answer(words, "html");
  faults += await checked(browser, `page of ${name}`, page, 1200);
  faults += await checked(browser, `page of ${name}`, page, 320);
  faults += await checked(browser, `picture of ${name}`, answer(words, "svg"), 1200);
}
await browser.close();
process.exit(faults === 0 ? 0 : 1);
