// --pdf of the whole program, with the installed Chromium and without any.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { after, before, test } from 'node:test';
import { browserPath } from './open_page.mjs';

const program = process.env.PLATEWISE_BINARY;
// No plate is in this small picture; the report says so, and prints.
const picture = join(dirname(fileURLToPath(import.meta.url)), '..', '..', 'test-images', 'formats', 'png', 'good.png');
let folder;

before(() => { folder = mkdtempSync(join(tmpdir(), 'platewise-pdf-')); });
after(() => { rmSync(folder, { recursive: true }); });

function report(environment) {
  return spawnSync(program, ['report', picture, '--report', 'r.html', '--pdf', 'r.pdf'],
                   { cwd: folder, env: environment, encoding: 'utf8' });
}

test('says how to get Chromium where there is none, and keeps the page', () => {
  const run = report({ PATH: '' });
  assert.equal(run.status, 1, run.stderr);
  assert.match(run.stderr, /r\.pdf: no Chromium was found to print the report with \(install Debian's package chromium/);
  assert.ok(existsSync(join(folder, 'r.html')));
  assert.ok(!existsSync(join(folder, 'r.pdf')));
});

test('prints with the installed Chromium and leaves nothing else behind', () => {
  const run = report({ PATH: process.env.PATH, HOME: folder, PLATEWISE_BROWSER: browserPath() });
  assert.equal(run.status, 0, run.stderr);
  const pdf = readFileSync(join(folder, 'r.pdf'));
  assert.equal(pdf.subarray(0, 5).toString(), '%PDF-');
  assert.deepEqual(readdirSync(folder).filter((name) => name.includes('.part')), []);
});
