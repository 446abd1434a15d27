// Starts Debian's Chromium and opens pages from disk; everything a page says or asks for is kept. What its own
// Content-Security-Policy stops before it leaves the browser is no request.
import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

export function browserPath() {
  const named = process.env.PLATEWISE_BROWSER;
  const places = named ? [named] : process.env.PATH.split(delimiter).map((folder) => join(folder, 'chromium'));
  for (const place of places) {
    try {
      accessSync(place, constants.X_OK);
      return place;
    } catch { /* look on */ }
  }
  throw new Error('no Chromium found: run scripts/install-deps --test');
}

export function launched() {
  const asRoot = process.getuid && process.getuid() === 0;
  return chromium.launch({ executablePath: browserPath(), args: asRoot ? ['--no-sandbox'] : [] });
}

export async function opened(browser, file, viewport = { width: 1280, height: 900 }) {
  const context = await browser.newContext({ viewport });
  const page = await context.newPage();
  const heard = [];
  const requests = [];
  page.on('console', (message) => heard.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', (error) => heard.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => { heard.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', (request) => {
    if (!request.url().startsWith('data:')) requests.push(request);
  });
  const address = pathToFileURL(file).href;
  await page.goto(address, { waitUntil: 'load' });
  return { page, heard, asked: () => requests.filter((r) => r.url() !== address && r.failure()?.errorText !== 'csp').map((r) => r.url()), close: () => context.close() };
}
