// Opens the pages of apical in headless Chromium and looks them through: nothing on the
// console, nothing fetched, every letter drawn, nothing wider than the screen at 360 and 1280
// pixels, light and dark, no serious finding of axe-core (which measures contrast by WCAG AA),
// and a printed page on A4 and Letter.
//
//   node look.mjs [--shots FOLDER] PAGE...
//
// Without Chromium, or without the two packages, it says so and ends well.

import { existsSync, mkdirSync, readFileSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { createRequire } from "node:module";

const chromium = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"]
  .find((path) => existsSync(path));
const require = createRequire(import.meta.url);
let playwright, axe;
try {
  playwright = require("playwright-core");
  axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
} catch {
  playwright = undefined;
}
if (!chromium || !playwright) {
  console.log("skipped: needs Chromium, and `npm install` in tests/pages");
  process.exit(0);
}

const given = process.argv.slice(2);
const shots = given[0] === "--shots" ? given.splice(0, 2)[1] : undefined;
if (shots) mkdirSync(shots, { recursive: true });
const faults = [];
const browser = await playwright.chromium.launch({
  executablePath: chromium,
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run"],
});

for (const path of given) {
  for (const scheme of ["light", "dark"]) {
    for (const width of [360, 1280]) {
      const where = `${basename(path)} ${scheme} ${width}`;
      const fault = (what) => faults.push(`${where}: ${what}`);
      const context = await browser.newContext({
        viewport: { width, height: 900 },
        colorScheme: scheme,
        bypassCSP: true, // only so that axe-core can be put in
      });
      const page = await context.newPage();
      page.on("console", (it) => {
        if (["error", "warning"].includes(it.type())) fault(`console: ${it.text()}`);
      });
      page.on("pageerror", (error) => fault(`error: ${error.message}`));
      page.on("dialog", (it) => { fault("a dialog opened"); it.dismiss(); });
      page.on("request", (it) => {
        if (!it.url().startsWith("file:") || it.resourceType() !== "document") {
          fault(`fetched ${it.url()}`);
        }
      });
      await page.goto(pathToFileURL(resolve(path)).href);
      const seen = await page.evaluate(() => ({
        wide: document.documentElement.scrollWidth,
        room: document.documentElement.clientWidth,
        scripts: document.querySelectorAll("script,iframe,object,embed,link,img").length,
        handlers: [...document.querySelectorAll("*")].filter((it) =>
          [...it.attributes].some((a) => a.name.startsWith("on"))).length,
        letters: [...new Set(document.body.textContent)].join(""),
      }));
      if (seen.wide > seen.room) fault(`${seen.wide} px wide on ${seen.room}`);
      if (seen.scripts) fault(`${seen.scripts} elements that load or run something`);
      if (seen.handlers) fault(`${seen.handlers} elements with handlers`);
      const missing = await page.evaluate(missingLetters, seen.letters);
      if (missing.length) fault(`no glyph for ${missing.join(" ")}`);
      await page.evaluate(axe);
      const found = await page.evaluate(() => globalThis.axe.run(document, {
        resultTypes: ["violations"],
        runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"],
      }));
      for (const it of found.violations) {
        if (["serious", "critical"].includes(it.impact)) {
          fault(`${it.id} (${it.impact}): ${it.nodes[0].html.slice(0, 120)}: ${it.nodes[0].failureSummary}`);
        }
      }
      if (shots) {
        const name = `${basename(path, ".html")}-${scheme}-${width}.png`;
        await page.screenshot({ path: join(shots, name), fullPage: true });
      }
      if (width === 1280 && scheme === "light") {
        for (const format of ["A4", "Letter"]) {
          const target = shots && join(shots, `${basename(path, ".html")}-${format}.pdf`);
          const pdf = await page.pdf({ format, path: target, preferCSSPageSize: false });
          const pages = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) ?? []).length;
          console.log(`${where}: ${pages} pages of ${format}`);
        }
      }
      await context.close();
    }
  }
}
await browser.close();

// Draws each letter, and a code point that no face has: where both come out alike, there is
// no glyph.
function missingLetters(letters) {
  const face = getComputedStyle(document.querySelector(".ipa") ?? document.body).fontFamily;
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 48;
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  const drawn = (text) => {
    pen.clearRect(0, 0, 48, 48);
    pen.font = `24px ${face}`;
    pen.fillText(text, 8, 34);
    return pen.getImageData(0, 0, 48, 48).data.join();
  };
  const none = ["\u{10FFFD}", "\u{0378}"].map(drawn);
  return [...letters].filter((it) => it.trim() && it !== "\uFFFD" && none.includes(drawn(it)));
}

for (const it of faults) console.log(it);
console.log(`${given.length} pages, ${faults.length} faults`);
process.exit(faults.length ? 1 : 0);
