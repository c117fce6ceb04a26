// One browser for a file of tests, and what every page is held against.
import assert from 'node:assert/strict';
import { mkdir, readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Pictures for people to look at. */
export const pictures = process.env.LOAMLINE_PICTURES ?? join(tmpdir(), 'loamline-pictures');
await mkdir(pictures, { recursive: true });

export const WIDE = { width: 1280, height: 900 };
export const PHONE = { width: 360, height: 740 };

export function browser() {
  return chromium.launch({
    executablePath: process.env.LOAMLINE_CHROMIUM ?? '/usr/bin/chromium',
    args: [
      '--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
      '--disable-background-networking', '--disable-component-update', '--disable-sync',
    ],
  });
}

/** A page that fails the test on any error of its own: a script, or a thing the policy forbids. */
export async function open(context, errors) {
  const page = await context.newPage();
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('console', (said) => {
    if (said.type() === 'error' && !/status of 4\d\d/.test(said.text())) errors.push(said.text());
  });
  return page;
}

/** WCAG 2.2 A and AA by machine: nothing serious or critical. */
export async function accessible(page, where) {
  // Evaluated by the test's own channel, so the page's policy stays as it is.
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() =>
    window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
  const grave = violations.filter((v) => ['serious', 'critical'].includes(v.impact));
  const said = grave.map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.html).join(' | ')}`);
  assert.deepEqual(said, [], where);
}

/** Nothing sticks out sideways: tables lie in boxes of their own. */
export async function fits(page, where) {
  const [content, window_] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
  assert.ok(content <= window_, `${where} is ${content} wide in a window of ${window_}`);
}

/** Takes a picture of the whole page. */
export function picture(page, name) {
  return page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}
