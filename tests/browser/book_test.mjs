// Opens job books in a real browser, as a phone, a dark phone and a printer see them.
//
//   node book_test.mjs BOOK.html...            what is asked of every book; says each fault, fails if there is one
//   node book_test.mjs --pictures DIR BOOK...  screenshots and a print of each besides, to be looked at
//
// CHROMIUM names the browser.
import { mkdirSync, readFileSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import { createRequire } from 'node:module';
import { HtmlValidate } from 'html-validate';
import { chromium } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const books = process.argv.slice(2);
let pictures = null;
if (books[0] === '--pictures') {
  pictures = books[1];
  books.splice(0, 2);
  mkdirSync(pictures, { recursive: true });
}
let faults = 0;

function fault(book, what) {
  console.log(`${basename(book)}: ${what}`);
  faults++;
}

// The ids are the names of the plan, so they hold dots and colons; the rest are the recommended rules.
const validator = new HtmlValidate({
  extends: ['html-validate:recommended'],
  rules: {
    'valid-id': ['error', { relaxed: true }],
    'no-trailing-whitespace': 'off',
    'long-title': 'off',
    'require-sri': 'off',
    'no-missing-references': 'off', // asked below: it takes a colon in an id for a pseudo-class
  },
});

async function validates(book) {
  const report = await validator.validateString(readFileSync(book, 'utf8'), book);
  for (const result of report.results)
    for (const m of result.messages.slice(0, 5)) fault(book, `html-validate ${m.ruleId}, line ${m.line}: ${m.message}`);
}

// A page that tells of every error and of every address that it asks for.
async function open(browser, book, options, run) {
  const context = await browser.newContext({ viewport: { width: 360, height: 800 }, ...options });
  const page = await context.newPage();
  const address = 'file://' + resolve(book);
  page.on('console', (m) => ['error', 'warning'].includes(m.type()) && fault(book, `console: ${m.text()}`));
  page.on('pageerror', (e) => fault(book, `script: ${e.message}`));
  page.on('request', (r) => {
    const url = r.url().replace(/#.*/, '');
    if (url !== address && !url.startsWith('data:')) fault(book, `asks for ${url}`);
  });
  await page.goto(address);
  await run(page);
  await context.close();
}

async function does_not_scroll(page, book, width) {
  await page.setViewportSize({ width, height: 800 });
  const wide = await page.evaluate(() => {
    const root = document.documentElement;
    if (root.scrollWidth <= innerWidth) return null;
    for (const e of document.querySelectorAll('body *'))
      if (e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.wide, .drawing')) return `${e.tagName} ${e.className}: ${e.textContent.slice(0, 60)}`;
    return `${root.scrollWidth} px`;
  });
  if (wide) fault(book, `scrolls sideways at ${width} px: ${wide}`);
}

// Text at 7 to 1, and in the light scheme all else that axe looks at: the other one differs in its colours alone.
async function is_accessible(page, book, scheme) {
  await page.evaluate(axe);
  const violations = await page.evaluate(async (dark) => {
    const contrast = ['color-contrast', 'color-contrast-enhanced'];
    const result = await axe.run(document, {
      resultTypes: ['violations'],
      ...(dark ? { runOnly: contrast } : { rules: { [contrast[1]]: { enabled: true }, 'target-size': { enabled: true } } }),
    });
    return result.violations.map((v) => `${v.id}: ${v.nodes.length} x ${v.nodes[0].html.slice(0, 160)}`);
  }, scheme === 'dark');
  for (const v of violations) fault(book, `axe, ${scheme}: ${v}`);
}

// What is touched is 48 px high, what is marked 34.
async function sizes_hold(page, book) {
  const wrong = await page.evaluate(() => {
    const high = (e) => e.getBoundingClientRect().height;
    const out = [];
    for (const e of document.querySelectorAll('.steps a, .links a, .row label, .row a, .ends a, th a, .band a'))
      if (high(e) < 48) out.push(`${e.outerHTML.slice(0, 80)} is ${high(e)} px high`);
    for (const [what, size] of [['.figures dd', 34], ['.card h3', 28], ['.row b', 16], ['body', 16]])
      for (const e of document.querySelectorAll(what))
        if (parseFloat(getComputedStyle(e).fontSize) < size) out.push(`${what} is smaller than ${size} px`);
    return out.slice(0, 3);
  });
  for (const w of wrong) fault(book, w);
}

async function anchors_resolve(page, book) {
  const wrong = await page.evaluate(() => {
    const ids = new Map();
    for (const e of document.querySelectorAll('[id]')) ids.set(e.id, (ids.get(e.id) || 0) + 1);
    const out = [...ids].filter(([, n]) => n > 1).map(([id]) => `the id ${id} is there twice`);
    for (const a of document.querySelectorAll('a[href]')) {
      const href = a.getAttribute('href');
      if (!href.startsWith('#')) out.push(`${href} leads out of the book`);
      else if (!ids.has(decodeURIComponent(href.slice(1)))) out.push(`${href} leads nowhere`);
    }
    return out.slice(0, 3);
  });
  for (const w of wrong) fault(book, w);
}

// A tick outlives the page, in all rows of that work; the filter shows what has the letters and nothing else.
async function script_adds(page, book) {
  const boxes = page.locator('input[type=checkbox]:not(:disabled)');
  if (await boxes.count()) {
    const name = await boxes.first().getAttribute('data-tick');
    await boxes.first().check();
    await page.reload();
    const states = await page.evaluate((n) => [...document.querySelectorAll('input')].filter((e) => e.dataset.tick === n).map((e) => e.checked), name);
    if (states.includes(false)) fault(book, 'a tick is forgotten');
  }
  const name = await page.locator('#\\~index li b').last().textContent();
  await page.fill('#\\~filter', name.toUpperCase());
  const shown = await page.evaluate(() => [...document.querySelectorAll('#\\~index li')].filter((e) => e.checkVisibility()).map((e) => e.textContent.toLowerCase()));
  if (!shown.length || shown.some((t) => !t.includes(name.toLowerCase()))) fault(book, `the filter shows ${shown.length} for ${name}`);
}

async function is_whole_without_script(page, book) {
  if (await page.locator('.filter').isVisible()) fault(book, 'the filter is shown where no script runs');
  if (!(await page.locator('#\\~index li').count())) fault(book, 'there is no index');
}

// No card, row or drawing is parted over two pages that could stand on one.
async function prints(page, book, pdf) {
  await page.emulateMedia({ media: 'print' });
  const broken = await page.evaluate(() =>
    [...document.querySelectorAll('.card, .circuit, .row, .run, .finding, .wall')]
      .filter((e) => getComputedStyle(e).breakInside !== 'avoid').map((e) => e.className).slice(0, 3));
  for (const b of broken) fault(book, `${b} may be parted in print`);
  const bytes = await page.pdf({ format: 'Letter', preferCSSPageSize: false, path: pdf ?? undefined });
  if (bytes.subarray(0, 5).toString() !== '%PDF-') fault(book, 'is not printed');
}

async function take_pictures(browser, book) {
  const name = join(pictures, basename(book, '.html'));
  for (const colorScheme of ['light', 'dark'])
    for (const width of [360, 1200])
      await open(browser, book, { colorScheme, viewport: { width, height: 800 } }, async (page) => {
        await page.screenshot({ path: `${name}-${width}-${colorScheme}.png` });
        for (const what of ['.card', '.circuit', '.panel', '.wall', '.finding', '#\\~index']) {
          if (!(await page.locator(what).count())) continue;
          await page.locator(what).first().scrollIntoViewIfNeeded();
          await page.evaluate((w) => document.querySelector(w).scrollIntoView(), what);
          await page.screenshot({ path: `${name}-${width}-${colorScheme}-${what.replace(/[^a-z]/g, '')}.png` });
        }
      });
  await open(browser, book, {}, (page) => prints(page, book, `${name}.pdf`));
}

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'] });
for (const book of books) {
  await validates(book);
  for (const colorScheme of ['light', 'dark'])
    await open(browser, book, { colorScheme }, async (page) => {
      for (const width of [320, 360]) await does_not_scroll(page, book, width);
      await is_accessible(page, book, colorScheme);
      if (colorScheme === 'dark') return;
      await sizes_hold(page, book);
      await anchors_resolve(page, book);
      await script_adds(page, book);
      await prints(page, book, null);
    });
  await open(browser, book, { javaScriptEnabled: false }, (page) => is_whole_without_script(page, book));
  if (pictures) await take_pictures(browser, book);
}
await browser.close();
console.log(`browser: ${books.length} books, ${faults ? `${faults} faults` : 'all passed'}`);
process.exit(faults ? 1 : 0);
