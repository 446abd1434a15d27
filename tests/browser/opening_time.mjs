// node opening_time.mjs REPORT.html: median time from navigation to the load event and a first drawn frame, of
// the report and of a page that holds as many bytes but shows nothing.
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { launched, opened } from './open_page.mjs';

const report = resolve(process.argv[2]);
const bytes = statSync(report).size;
const folder = mkdtempSync(join(tmpdir(), 'platewise-opening-'));
const empty = join(folder, 'empty.html');
writeFileSync(empty, `<!doctype html><title>empty</title><script type="text/plain">${'x'.repeat(bytes - 80)}</script>`);

const browser = await launched();
async function seconds(file) {
  const times = [];
  for (let i = 0; i < 5; ++i) {
    const start = performance.now();
    const view = await opened(browser, file);
    await view.page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))));
    times.push((performance.now() - start) / 1000);
    await view.close();
  }
  return times.sort((a, b) => a - b)[2];
}
const blank = await seconds(empty);
const full = await seconds(report);
await browser.close();
rmSync(folder, { recursive: true });
console.log(`${(bytes / 1e6).toFixed(1)} MB: report ${full.toFixed(2)} s, empty page of that size ${blank.toFixed(2)} s, ` +
            `difference ${(full - blank).toFixed(2)} s (median of 5)`);
