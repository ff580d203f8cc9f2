// Debian's Chromium, headless, and what every page is held to.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export const phone = { width: 390, height: 844 };
export const desk = { width: 1440, height: 900 };

export const launch = () => chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'],
});

// A page that notes what goes wrong in it; `errors` are console errors and exceptions.
export async function open(browser, url, options = {}) {
  const context = await browser.newContext({ viewport: desk, serviceWorkers: 'block', ...options });
  const page = await context.newPage();
  page.errors = [];
  page.on('console', (message) => { if (message.type() === 'error') page.errors.push(message.text()); });
  page.on('pageerror', (error) => page.errors.push(error.stack));
  await page.goto(url);
  return page;
}

// No violation of WCAG 2.2 A and AA or of axe's best practices, and nothing that must be scrolled sideways.
export async function holdUp(page) {
  // A script that the policy would not let the page load; axe is run beside the page, not by it.
  const found = await page.evaluate(`${axe}; axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })`);
  assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => `${n.html} ${n.failureSummary}`).join(' | ')}`), []);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'the page scrolls sideways');
}

export const shown = (page, text) => page.getByText(text).first().waitFor({ timeout: 15000 });
