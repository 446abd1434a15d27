// The report in a real browser: node --test, started by ctest with the folder of pages from make_pages.
import assert from 'node:assert/strict';
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { launched, opened } from './open_page.mjs';

const pages = process.env.PLATEWISE_PAGES;
const shots = process.env.PLATEWISE_SCREENSHOTS;  // a folder, for people to look at
const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const page_of = (name) => join(pages, `${name}.html`);
let browser;

before(async () => { browser = await launched(); });
after(async () => { await browser.close(); });

async function withPage(name, viewport, look) {
  const view = await opened(browser, page_of(name), viewport);
  try {
    await look(view.page, view);
    assert.deepEqual(view.heard, [], 'the page complained');
    assert.deepEqual(view.asked(), [], 'the page asked for something');
  } finally {
    await view.close();
  }
}

const desk = { width: 1280, height: 900 };
const widths = [360, 768, 1280];

test('opens without complaint and without a request', async () => {
  for (const name of ['plate', 'series', 'hostile', 'nothing']) {
    await withPage(name, desk, async (page) => {
      assert.equal(await page.locator('h1').count(), 1);
      assert.ok(await page.locator('.advice').count() > 0);
    });
  }
});

test('forbids any load', async () => {
  const view = await opened(browser, page_of('plate'), desk);
  const refused = await view.page.evaluate(async () => {
    const picture = new Image();
    const failed = new Promise((resolve) => { picture.onerror = () => resolve(true); picture.onload = () => resolve(false); });
    picture.src = 'https://example.invalid/x.png';
    const fetched = await fetch('https://example.invalid/').then(() => true, () => false);
    return await failed && !fetched;
  });
  assert.ok(refused);
  assert.ok(view.heard.every((line) => line.includes('Content Security Policy')), view.heard.join('\n'));
  assert.deepEqual(view.asked(), []);
  await view.close();
});

test('shows file names and notes as text', async () => {
  await withPage('hostile', desk, async (page) => {
    assert.equal(await page.evaluate(() => window.hurt), undefined);
    const facts = await page.locator('.facts').innerText();
    assert.ok(facts.includes('onerror="hurt()"'));
    assert.ok(facts.includes('</script><script>window.hurt = 1</script><!-- ]]> <svg onload=hurt()>'));
    assert.ok(facts.includes('{{DATA}} ${hurt}'));
    assert.equal(await page.locator('script').count(), 2);
    assert.equal(await page.locator('[onerror], [onload]').count(), 0);
    const note = await page.evaluate(() => JSON.parse(document.getElementById('plate-data').textContent).scan.path);
    assert.ok(note.includes('<img'));
  });
});

test('switches the outlines off and on', async () => {
  await withPage('plate', desk, async (page) => {
    const button = page.getByRole('button', { name: 'Outlines' });
    const outlines = page.locator('.sheet svg');
    assert.equal(await button.getAttribute('aria-pressed'), 'true');
    await button.click();
    assert.equal(await button.getAttribute('aria-pressed'), 'false');
    assert.ok(!await outlines.isVisible());
    await button.press('Space');
    assert.ok(await outlines.isVisible());
  });
});

const scaleOf = (page) => page.evaluate(() => new DOMMatrix(getComputedStyle(document.querySelector('.sheet')).transform).a);
const placeOf = (page) => page.evaluate(() => new DOMMatrix(getComputedStyle(document.querySelector('.sheet')).transform).e);

test('zooms and moves by button, keyboard, wheel and drag', async () => {
  await withPage('plate', desk, async (page) => {
    await page.getByRole('button', { name: 'Closer' }).click();
    assert.equal(await scaleOf(page), 1.5);
    await page.getByRole('button', { name: 'Whole' }).click();
    assert.equal(await scaleOf(page), 1);
    await page.locator('.stage').focus();
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    assert.equal(await scaleOf(page), 2.25);
    const before = await placeOf(page);
    await page.keyboard.press('ArrowRight');
    assert.equal(await placeOf(page), before - 60);
    await page.keyboard.press('0');
    assert.equal(await scaleOf(page), 1);
    const box = await page.locator('.stage').boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.keyboard.down('Control');
    await page.mouse.wheel(0, -100);
    await page.keyboard.up('Control');
    await page.waitForFunction(() => document.querySelector('.stage').dataset.zoom === 'on');
    const zoomed = await placeOf(page);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2 - 20, box.y + box.height / 2);
    await page.mouse.up();
    assert.equal(Math.round(await placeOf(page) - zoomed), -20);
  });
});

test('lays two plates on one another, by keyboard and by drag', async () => {
  await withPage('series', desk, async (page) => {
    const place = page.getByRole('slider');
    const clip = () => page.locator('.earlier').evaluate((e) => e.style.clipPath);
    assert.equal(await page.locator('#slider-pair option').count(), 5);
    assert.equal(await clip(), 'inset(0px 50% 0px 0px)');
    await place.focus();
    await page.keyboard.press('ArrowRight');
    assert.equal(await clip(), 'inset(0px 49% 0px 0px)');
    assert.equal(await place.getAttribute('aria-valuetext'), '51% earlier plate');
    await page.keyboard.press('End');
    assert.equal(await clip(), 'inset(0px 0% 0px 0px)');
    const box = await page.locator('.both').boundingBox();
    await page.mouse.move(box.x + box.width / 4, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.up();
    assert.equal(await clip(), 'inset(0px 75% 0px 0px)');
    await page.locator('#slider-pair').focus();
    await page.keyboard.press('ArrowDown');
    assert.equal(await page.locator('#slider-pair').evaluate((s) => s.selectedIndex), 1);
    // Plate 3 was moved by 1.7 mm in x and 0.85 mm in y against plate 2: a scene point must fall on itself.
    const off = await page.evaluate(() => {
      const image = document.querySelector('.earlier img');
      const pxPerMm = document.querySelector('.both').clientWidth / 127;
      const m = new DOMMatrix(getComputedStyle(image).transform);
      const p = m.transformPoint(new DOMPoint(60 * pxPerMm, 50 * pxPerMm));
      return [p.x / p.w / pxPerMm - 61.7, p.y / p.w / pxPerMm - 50.85];
    });
    assert.ok(Math.hypot(...off) < 0.25, `off by ${off} mm`);
  });
});

test('can be worked through by keyboard alone, each stop with a name and a visible focus', async () => {
  await withPage('series', desk, async (page) => {
    const seen = [];
    for (let i = 0; i < 80; ++i) {
      await page.keyboard.press('Tab');
      const stop = await page.evaluate(() => {
        const e = document.activeElement;
        if (e === document.body) return null;
        const label = e.labels?.[0]?.textContent ?? e.getAttribute('aria-label') ?? e.textContent;
        return { what: `${e.tagName} ${e.id || e.className || e.dataset.do || ''}`, label: label.trim(), outline: getComputedStyle(e).outlineStyle };
      });
      if (!stop) break;
      seen.push(stop.what);
      assert.ok(stop.label.length > 1, `no name: ${stop.what}`);
      assert.notEqual(stop.outline, 'none', `focus not seen: ${stop.what}`);
    }
    for (const what of ['A skip', 'BUTTON room', 'SELECT slider-pair', 'INPUT slider-place', 'DIV stage', 'BUTTON outlines']) {
      assert.ok(seen.includes(what), `not reached: ${what} in ${seen.join(', ')}`);
    }
  });
});

test('meets WCAG 2.2 AA as axe-core checks it, in light and dark room', async () => {
  for (const [name, width] of [['plate', 360], ['plate', 1280], ['series', 1280], ['nothing', 360]]) {
    await withPage(name, { width, height: 900 }, async (page) => {
      for (const room of ['light', 'dark']) {
        if (room === 'dark') await page.getByRole('button', { name: 'Dark room' }).click();
        await page.evaluate(axeSource);
        const result = await page.evaluate(() => axe.run(document, {
          runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
        const found = result.violations.map((v) => `${v.id}: ${v.nodes.map((n) => `${n.target} ${n.failureSummary}`).join(' | ')}`);
        assert.deepEqual(found, [], `${name} at ${width}, ${room}`);
        assert.ok(result.passes.length > 15);
      }
    });
  }
});

test('gives off nothing but red in the dark room', async () => {
  await withPage('series', { width: 768, height: 900 }, async (page) => {
    await page.getByRole('button', { name: 'Dark room' }).click();
    assert.ok(await page.locator('#room-caution').isVisible());
    const shot = await page.screenshot({ fullPage: true });
    const reader = await browser.newPage();
    const most = await reader.evaluate(async (data) => {
      const picture = new Image();
      picture.src = `data:image/png;base64,${data}`;
      await picture.decode();
      const canvas = new OffscreenCanvas(picture.width, picture.height);
      const context = canvas.getContext('2d');
      context.drawImage(picture, 0, 0);
      const bytes = context.getImageData(0, 0, picture.width, picture.height).data;
      const greatest = [0, 0, 0];
      for (let i = 0; i < bytes.length; i += 4) {
        for (let c = 0; c < 3; ++c) greatest[c] = Math.max(greatest[c], bytes[i + c]);
      }
      return greatest;
    }, shot.toString('base64'));
    await reader.close();
    assert.ok(most[0] > 200 && most[1] <= 2 && most[2] <= 2, `most red, green, blue: ${most}`);
  });
});

test('fits its width from phone to desk, and can be read there', async () => {
  if (shots) mkdirSync(shots, { recursive: true });
  for (const width of widths) {
    for (const name of ['plate', 'series', 'nothing']) {
      await withPage(name, { width, height: 740 }, async (page) => {
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        assert.ok(wide <= width, `${name}: ${wide} px wide on a screen of ${width}`);
        const smallest = await page.evaluate(() => Math.min(99, ...[...document.querySelectorAll('.plot text')].map(
          (t) => parseFloat(getComputedStyle(t).fontSize) * t.ownerSVGElement.getScreenCTM().a)));
        assert.ok(smallest >= 9, `letters of ${smallest} px in a plot`);
        const advice = await page.locator('.advice').first().boundingBox();
        assert.ok(advice.y + advice.height < 740, 'the sentence is not on the first screen');
        if (!shots) return;
        await page.screenshot({ path: join(shots, `${name}-${width}.png`) });
        await page.screenshot({ path: join(shots, `${name}-${width}-full.png`), fullPage: true });
        await page.getByRole('button', { name: 'Dark room' }).click();
        await page.screenshot({ path: join(shots, `${name}-${width}-dark.png`), fullPage: true });
      });
    }
  }
});

// Pages of an A4 and a Letter print. A plate begins on a page of its own.
const printed = { plate: { A4: 4, Letter: 4 }, series: { A4: 22, Letter: 22 } };
const paper = { A4: { width: 210, height: 297 }, Letter: { width: 216, height: 279 } };  // mm

test('prints on A4 and Letter without cutting a plot', async () => {
  for (const name of Object.keys(printed)) {
    for (const format of Object.keys(paper)) {
      const margin = 14;
      const px = (mm) => mm * 96 / 25.4;
      const viewport = { width: Math.floor(px(paper[format].width - 2 * margin)), height: 900 };
      await withPage(name, viewport, async (page) => {
        await page.getByRole('button', { name: 'Dark room' }).click();  // must not be printed red
        await page.emulateMedia({ media: 'print' });
        const cut = await page.evaluate((most) => [...document.querySelectorAll('figure, .plot, .marks, .tones')].filter(
          (e) => getComputedStyle(e).breakInside !== 'avoid' || e.getBoundingClientRect().height > most ||
                 e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.className.baseVal ?? e.className),
          px(paper[format].height - 2 * margin));
        assert.deepEqual(cut, []);
        assert.equal(await page.evaluate(() => getComputedStyle(document.body).color), 'rgb(0, 0, 0)');
        const pdf = await page.pdf({ format, printBackground: true, path: shots && join(shots, `${name}-${format}.pdf`) });
        const count = pdf.toString('latin1').match(/\/Type\s*\/Page\b/g).length;
        assert.equal(count, printed[name][format], `pages of ${name} on ${format}`);
      });
    }
  }
});
