// The sheet of a brew day, printed: one page, whatever the paper, and whatever is brewed.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { desk, holdUp, launch, open, phone } from './support/browser.mjs';

let browser;
const folder = mkdtempSync(join(tmpdir(), 'gyle-sheet-'));
before(async () => { browser = await launch(); });
after(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true });
});

// The sheet for a recipe with so many hops more than two, and grains as many.
function sheet(more, display) {
  const several = Array.from({ length: more }, (_, i) => i);
  writeFileSync(join(folder, 'recipe.toml'), `name = "Amber no. 12"\nvolume = "12 L"\n[kettle]\nvolume = "26 L"\n`
    + '[[grain]]\nname = "pale malt"\nmass = "2.3 kg"\nextract = "80 %"\n'
    + several.map((i) => `[[grain]]\nname = "rye malt ${i}"\nmass = "50 g"\nextract = "70 %"\n`).join('')
    + '[[hops]]\nname = "Alder hops"\nmass = "15 g"\nat = "50 min"\n[[hops]]\nname = "Birch hops"\nmass = "18 g"\nat = "end"\n'
    + several.map((i) => `[[hops]]\nname = "Cedar hops ${i}"\nmass = "5 g"\nat = "${5 + 3 * i} min"\n`).join(''));
  writeFileSync(join(folder, 'c.toml'), `[display]\n${display}\n`);
  execFileSync(process.env.GYLE_TOOL, ['brewday', join(folder, 'recipe.toml'), '--config', join(folder, 'c.toml'),
    '--start', '2026-03-07 09:00', '--sheet', join(folder, 'sheet.html')]);
  return pathToFileURL(join(folder, 'sheet.html')).href;
}

for (const more of [0, 7, 14]) {
  for (const display of ['volume = "L"', 'volume = "gal"\ntemperature = "F"\ngravity = "P"']) {
    test(`${more} additions more, ${display.replace(/\n/g, ', ')}: one page of A4 and of Letter`, async () => {
      const page = await open(browser, sheet(more, display));
      for (const format of ['A4', 'Letter']) {
        const pdf = (await page.pdf({ format, preferCSSPageSize: false })).toString('latin1');
        assert.equal(pdf.match(/\/Type\s*\/Page\b(?!s)/g).length, 1, format);
      }
      await page.context().close();
    });
  }
}

test('boxes stay ticked on the device, and the next step counts down', async () => {
  const page = await open(browser, sheet(0, 'volume = "L"'), { viewport: phone, colorScheme: 'dark' });
  const next = page.locator('#next');
  const first = await next.locator('b').innerText();
  await page.getByRole('checkbox').first().check();
  await page.reload();
  assert.equal(await page.getByRole('checkbox').first().isChecked(), true);
  assert.notEqual(await next.locator('b').innerText(), first);
  assert.match(await next.locator('span').innerText(), /^in \d|^\d.* ago$|^now$/);
  assert.equal(await page.evaluate(() => getComputedStyle(document.body).backgroundColor), 'rgb(22, 25, 29)');
  await holdUp(page);
  assert.deepEqual(page.errors, []);
  await page.context().close();
});

test('on a screen it holds up too', async () => {
  for (const viewport of [phone, desk]) {
    const page = await open(browser, sheet(3, 'volume = "L"'), { viewport });
    await holdUp(page);
    assert.deepEqual(page.errors, []);
    await page.context().close();
  }
});
