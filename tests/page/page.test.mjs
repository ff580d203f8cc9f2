// The page in a browser, served by the daemon, with batches whose readings came through a broker.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { Cellar, until } from './support/cellar.mjs';
import { desk, holdUp, launch, open, phone, shown } from './support/browser.mjs';

const kToken = 'a token of the tests, long enough';
const kNow = '2026-11-24T18:40:00Z';
const kLater = '2026-11-24T23:40:00Z';
const batches = [
  { vessel: 'Crock', sensors: ['crock-hydrometer', 'crock-probe'], scenario: 'quiet', seed: 3, name: 'Orchard pale', pitched: '2026-11-11T10:00:00Z', until: kNow },
  { vessel: 'Right', sensors: ['right-hydrometer', 'right-probe'], scenario: 'stuck', seed: 2, name: 'Chestnut mild', pitched: '2026-11-14T15:30:00Z', until: kNow },
  { vessel: 'Left', sensors: ['left-hydrometer', 'left-probe'], scenario: 'three-week', name: 'Amber no. 12', pitched: '2026-11-20T17:30:00Z', until: kNow },
];

let browser;
let cellar;
before(async () => {
  browser = await launch();
  cellar = new Cellar({ batches, token: kToken });
  await cellar.start();
});
after(async () => {
  await browser?.close();
  cellar?.stop();
});

const idOf = async (name) => (await cellar.ask('/v1/status')).batches.find((batch) => batch.name === name).id;
const card = (page, vessel) => page.getByRole('region', { name: `${vessel}: ` });

for (const [name, viewport] of Object.entries({ phone, desk })) {
  for (const colorScheme of ['light', 'dark']) {
    describe(`${name}, ${colorScheme}`, () => {
      const at = (hash) => open(browser, `${cellar.url}/${hash}`, { viewport, colorScheme, hasTouch: name === 'phone' });

      test('the cellar shows each vessel with its numbers, their doubt and what is next', async () => {
        const page = await at('#/');
        await shown(page, 'Amber no. 12');
        const { batches: stage } = await cellar.ask('/v1/status');
        for (const batch of stage) {
          const text = await card(page, batch.vessel).innerText();
          const { value, low, high } = batch.view.gravity_sg;
          assert.match(text, new RegExp(value.toFixed(3).replace('.', '\\.')));
          assert.match(text, new RegExp(`± ${((high - low) / 2).toFixed(4)}`));
          assert.match(text, new RegExp(`${Math.round(batch.view.temperature_celsius * 10) / 10} °C`));
          // All is well with the amber, so it has a line; the others have a card.
          if (batch.vessel === 'Left') continue;
          assert.match(text, new RegExp(`${Math.round(batch.view.attenuation * 100)} % attenuated`));
          assert.match(text, /Heard .* sensors are in order/s);
        }
        assert.deepEqual(await page.locator('.card, .line').evaluateAll((all) => all.map((one) => `${one.classList[0]} ${one.getAttribute('aria-label')}`)),
          ['card Right: Chestnut mild', 'card Crock: Orchard pale', 'line Left: Amber no. 12']);
        assert.equal(await page.locator('.spark').count(), 3);
        assert.match(await page.title(), /^\([2-9]\) Cellar · Gylekeeper$/);
        const amber = await card(page, 'Left').innerText();
        assert.match(amber, /Fermenting/);
        assert.match(amber, /Bring it to 20 °C in /);
        assert.match(await card(page, 'Right').innerText(), /Stuck.*Take care.*seems to have stopped/s);
        await holdUp(page);
        assert.deepEqual(page.errors, []);
        await page.context().close();
      });

      test('a batch shows its curves, and says them', async () => {
        const page = await at(`#/batch/${await idOf('Amber no. 12')}`);
        await page.locator('.u-over').nth(1).waitFor();
        await shown(page, 'What happened');
        const words = await page.locator('.chart-words').innerText();
        assert.match(words, /gravity went from 1\.050 to 1\.03\d/);
        // One number for one thing: above, in the picture's words, in the explanation.
        const said = (await page.locator('.batch-head .gravity .number').innerText()).trim();
        assert.ok(words.includes(`to ${said}`), `${said} is not in: ${words}`);
        assert.match(words, /expected to come to 1\.01\d, between 1\.01\d and 1\.01\d, (between|on) /);
        // Something was drawn on both.
        const inked = await page.evaluate(() => [...document.querySelectorAll('.plots canvas')].map((canvas) => {
          const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
          let pixels = 0;
          for (let i = 3; i < data.length; i += 4) if (data[i] > 0) pixels += 1;
          return pixels;
        }));
        assert.equal(inked.length, 2);
        for (const pixels of inked) assert.ok(pixels > 2000, `${pixels} pixels`);
        // Keys read values, and zoom.
        await page.locator('.plots').focus();
        for (let i = 0; i < 5; ++i) await page.keyboard.press('ArrowRight');
        assert.match(await page.locator('.readout').innerText(), /Fri 20 Nov .*gravity 1\.0\d{3} \(1\.0\d{3} to 1\.0\d{3}\).*beer \d/s);
        await page.keyboard.press('+');
        await page.locator('button[data-days="all"][aria-pressed="false"]').waitFor();
        await page.waitForURL(/from=\d+&to=\d+/);
        await page.reload();  // what is looked at is in the address
        await page.locator('button[data-days="all"][aria-pressed="false"]').waitFor();
        await page.locator('.u-over').nth(1).waitFor();
        await page.locator('.plots').focus();
        await page.keyboard.press('Home');
        await page.locator('button[data-days="all"][aria-pressed="true"]').waitFor();
        await holdUp(page);
        assert.deepEqual(page.errors, []);
        await page.context().close();
      });

      test('batches are compared', async () => {
        const page = await at('#/compare');
        await page.locator('.u-over').nth(1).waitFor();
        await shown(page, /Orchard pale: from 1\.050 to 1\.01\d by day 13\.\d/);
        await page.getByLabel('when it started to ferment').check();
        await shown(page, /Orchard pale: from 1\.050 to 1\.01\d by day 1[12]\.\d/);
        await page.waitForURL(/align=start/);
        assert.match(await page.locator('.chart-words').innerText(), /difference from[^]*[+−]\d/);
        await page.getByRole('checkbox', { name: 'Chestnut mild' }).uncheck();
        await until('its line is gone', async () => !(await page.locator('.chart-words').innerText()).includes('Chestnut'));
        await holdUp(page);
        assert.deepEqual(page.errors, []);
        await page.context().close();
      });
    });
  }
}

test('touch: a tap reads, one finger moves, two zoom', async () => {
  const page = await open(browser, `${cellar.url}/#/batch/${await idOf('Chestnut mild')}`, { viewport: phone, hasTouch: true });
  const over = page.locator('.u-over').first();
  await over.waitFor();
  await over.scrollIntoViewIfNeeded();
  const box = await over.boundingBox();
  const y = box.y + box.height / 2;
  await page.touchscreen.tap(box.x + box.width * 0.2, y);
  await page.locator('.readout', { hasText: 'gravity 1.0' }).waitFor();
  const all = page.locator('button[data-days="all"]');
  const client = await page.context().newCDPSession(page);
  const touch = (type, ...xs) => client.send('Input.dispatchTouchEvent', { type, touchPoints: xs.map((x, id) => ({ x: box.x + box.width * x, y, id })) });
  assert.equal(await all.getAttribute('aria-pressed'), 'true');
  await touch('touchStart', 0.4, 0.6);
  await touch('touchMove', 0.3, 0.7);
  await touch('touchMove', 0.1, 0.9);
  await touch('touchEnd');
  assert.equal(await all.getAttribute('aria-pressed'), 'false');
  const reading = async () => {
    await page.touchscreen.tap(box.x + box.width * 0.5, y);
    return page.locator('.readout').innerText();
  };
  const zoomed = await reading();
  await touch('touchStart', 0.7);
  await touch('touchMove', 0.5);
  await touch('touchMove', 0.3);
  await touch('touchEnd');
  assert.notEqual(await reading(), zoomed);
  assert.deepEqual(page.errors, []);
  await page.context().close();
});

test('the page is light, and the first chart is soon there', async () => {
  const page = await open(browser, 'about:blank');
  const id = await idOf('Chestnut mild');
  const times = [];
  let sizes;
  for (let i = 0; i < 3; ++i) {
    const start = performance.now();
    await page.goto(`${cellar.url}/?${i}#/batch/${id}`);
    await page.locator('.u-over').nth(1).waitFor();
    times.push(Math.round(performance.now() - start));
    if (i > 0) continue;  // what comes from the browser's store has no size
    await page.waitForLoadState('networkidle').catch(() => {});
    sizes = await page.evaluate(() => [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]
      .filter((entry) => !entry.name.includes('/v1/')).map((entry) => [entry.decodedBodySize, entry.encodedBodySize]));
  }
  const [weight, sent] = [0, 1].map((k) => sizes.reduce((sum, one) => sum + one[k], 0));
  console.log(`the page weighs ${weight} bytes, ${sent} as sent, in ${sizes.length} files`);
  assert.ok(sizes.length <= 6 && weight > 50_000 && weight < 300_000, `${weight} bytes`);
  console.log(`first chart after ${times} ms`);
  assert.ok(Math.min(...times) < 1000 * Number(process.env.GYLE_SLOW ?? 1), `${times} ms`);
  await page.context().close();
});

test('a reading that arrives is seen without a word', async () => {
  const page = await open(browser, `${cellar.url}/#/`);
  await shown(page, 'Amber no. 12');
  const gravity = () => card(page, 'Left').locator('.gravity').innerText();
  const was = await gravity();
  const [, , amber] = batches;
  const packs = cellar.packs({ ...amber, until: kLater }).filter((pack) => pack.bt > Date.parse(kNow) / 1000);
  assert.ok(packs.length > 10);
  await cellar.publish(packs);
  const { view } = (await cellar.ask('/v1/status')).batches.find((batch) => batch.vessel === 'Left');
  await until('the card has changed', async () => (await gravity()).startsWith(view.gravity_sg.value.toFixed(3)) && await gravity() !== was, 10);
  assert.deepEqual(page.errors, []);
  await page.context().close();
});

test('old values are grey, with their time, without a trend or a forecast', async () => {
  // The clock follows the messages: what the amber's sensors said makes the others' readings five hours old.
  const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
  const chestnut = card(page, 'Right');
  await chestnut.locator('.figure.stale').nth(1).waitFor();
  const text = await chestnut.innerText();
  assert.match(text, /as of Tue 19:\d\d/);
  assert.doesNotMatch(text, /points a day|holding still|, 24\u00a0h|expected$/m);
  assert.equal(await chestnut.locator('.stage.is-stuck').evaluate((e) => getComputedStyle(e).color), 'rgb(142, 27, 46)');
  assert.doesNotMatch(await card(page, 'Crock').innerText(), /when you like/);
  await holdUp(page);
  await page.goto(`${cellar.url}/#/batch/${await idOf('Chestnut mild')}`);
  await page.locator('.figure.stale').nth(1).waitFor();
  await shown(page, 'What happened');
  assert.equal(await page.locator('.stage.is-stuck').evaluate((e) => getComputedStyle(e).color), 'rgb(142, 27, 46)');  // as in the cellar
  await page.context().close();
});

test('on a phone: what to do, then gravity, all within the first screen; then forecast, why, log', async () => {
  const page = await open(browser, `${cellar.url}/#/batch/${await idOf('Amber no. 12')}`, { viewport: phone, hasTouch: true });
  await shown(page, 'What happened');
  const box = async (what) => page.locator(what).first().boundingBox();
  const tops = await Promise.all(['h1', '.stage', '.next', '.plots', '.batch-beside .card', '.story .card', '.log'].map(async (what) => (await box(what)).y));
  assert.deepEqual(tops, [...tops].sort((a, b) => a - b));
  const [gravity, bar] = [await box('.u-over'), await box('#bar')];
  assert.ok(gravity.y + gravity.height <= bar.y, `gravity ends at ${gravity.y + gravity.height}, the bar begins at ${bar.y}`);
  // Nothing moves when it is read, and the beer stays.
  await page.touchscreen.tap(gravity.x + gravity.width * 0.3, gravity.y + gravity.height / 2);
  assert.match(await page.locator('.readout').innerText(), /beer \d/);
  assert.deepEqual(await box('.u-over'), gravity);
  // What happened can be tapped.
  await page.getByRole('group', { name: 'What happened' }).getByRole('button').first().tap();
  await page.locator('.tip', { hasText: 'Pitched' }).waitFor();
  await holdUp(page);
  assert.deepEqual(page.errors, []);
  await page.context().close();
});

test('the cellar is one request; its place comes back', async () => {
  const page = await open(browser, 'about:blank', { viewport: phone });
  const asked = [];
  page.on('request', (request) => { if (request.url().includes('/v1/')) asked.push(new URL(request.url()).pathname); });
  await page.goto(`${cellar.url}/#/`);
  await shown(page, 'Amber no. 12');
  await page.waitForTimeout(300);
  assert.deepEqual(asked.filter((path) => path !== '/v1/events' && path !== '/v1/cellar'), []);
  await page.evaluate(() => scrollTo(0, 400));
  await page.getByRole('link', { name: 'Orchard pale' }).click();
  await shown(page, 'What happened');
  await until('it begins at its top', () => page.evaluate(() => scrollY === 0), 5);
  await page.goBack();
  await until('the cellar is where it was', () => page.evaluate(() => Math.abs(scrollY - 400) < 3), 5);
  await page.context().close();
});

test('each page holds up at every width, light and dark', async () => {
  const pages = [['#/', '.card'], [`#/batch/${await idOf('Orchard pale')}`, '.log'], [`#/batch/${await idOf('Chestnut mild')}`, '.log'], ['#/compare', '.u-over'], ['#/setup', '.checks'], ['#/nowhere', 'h1']];
  for (const [hash, what] of pages) {
    const page = await open(browser, `${cellar.url}/${hash}`);
    await page.locator(what).first().waitFor();
    for (const width of [320, 390, 768, 1440]) {
      await page.setViewportSize({ width, height: 844 });
      for (const colorScheme of ['light', 'dark']) {
        await page.emulateMedia({ colorScheme });
        await holdUp(page);
      }
    }
    assert.deepEqual(page.errors, []);
    await page.context().close();
  }
});

test('what is next and the forecast beside it give one time for the end', async () => {
  const { batches: places } = await cellar.ask('/v1/cellar');
  for (const { batch, ready_time: ready } of places) {
    const { forecast, lines } = await cellar.ask(`/v1/batches/${batch.id}/forecast`);
    assert.deepEqual(ready, forecast.ready_time);
    if (ready) assert.ok(!lines.some((line) => line.startsWith('Hold 2 is over')), lines.join('\n'));
  }
  assert.ok(places.some((one) => one.ready_time));
});

test('320 pixels and text of twice the size, forced colours, print', async () => {
  for (const hash of ['#/', `#/batch/${await idOf('Orchard pale')}`, '#/compare']) {
    const page = await open(browser, `${cellar.url}/${hash}`, { viewport: { width: 320, height: 700 }, colorScheme: 'dark' });
    await page.locator(hash === '#/' ? '.card' : '.u-over').first().waitFor();
    await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
    await page.waitForTimeout(200);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${hash} scrolls sideways`);
    assert.deepEqual(await page.locator('.number').evaluateAll((all) => all.filter((one) => one.getClientRects().length !== 1 || one.getBoundingClientRect().right > innerWidth).map((one) => one.textContent)), []);
    await page.evaluate(() => { document.documentElement.style.fontSize = ''; });
    await page.emulateMedia({ forcedColors: 'active', reducedMotion: 'reduce' });
    await holdUp(page);
    await page.emulateMedia({ forcedColors: 'none', media: 'print' });
    const paper = () => page.evaluate(() => [getComputedStyle(document.documentElement).getPropertyValue('--paper').trim(), getComputedStyle(document.documentElement).getPropertyValue('--ink').trim()]);
    assert.deepEqual(await paper(), ['#fff', '#000']);
    assert.equal(await page.locator('#bar').isVisible(), false);
    // Swatches are drawn: paper leaves grounds out.
    for (const paint of await page.locator('.legend .swatch').evaluateAll((all) => all.map((one) => { const { stroke, fill } = getComputedStyle(one.firstElementChild); return [stroke, fill]; }))) {
      assert.ok(paint.some((one) => one !== 'none' && one !== 'rgba(0, 0, 0, 0)'), `a swatch that paper does not show: ${paint}`);
    }
    assert.deepEqual(page.errors, []);
    await page.context().close();
  }
});

test('an address that leads nowhere is a page that says so', async () => {
  for (const path of ['#/nowhere', '#/batch/x', 'vessel/left']) {
    const page = await open(browser, `${cellar.url}/${path}`);
    await shown(page, 'There is no such page');
    await holdUp(page);
    await page.getByRole('main').getByRole('link').click();
    await shown(page, 'Amber no. 12');
    await page.context().close();
  }
});

test('without scripts there is a table of the vessels', async () => {
  const page = await open(browser, `${cellar.url}/`, { javaScriptEnabled: false });
  await page.waitForURL('**/vessels');
  assert.match(await page.locator('table').innerText(), /Left\s+Amber no\. 12\s+fermenting/i);
  await page.context().close();
});

test('eight pages are kept up to date, over one event stream', async () => {
  const context = await browser.newContext({ viewport: phone, serviceWorkers: 'block' });
  let streams = 0;
  context.on('request', (request) => { if (request.url().endsWith('/v1/events')) streams += 1; });
  const pages = [];
  for (let i = 0; i < 8; ++i) {
    const page = await context.newPage();
    await page.goto(`${cellar.url}/#/batch/${await idOf('Amber no. 12')}`);
    await page.locator('.log').waitFor();
    pages.push(page);
  }
  cellar.tool('note', 'Amber no. 12', 'Seen by all.');
  for (const page of pages) await page.locator('.log', { hasText: 'Seen by all.' }).waitFor({ timeout: 15000 });
  assert.equal(streams, 1);
  await context.close();
});

test('an act asks for the token once; without the right one nothing is done', async () => {
  const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
  await shown(page, 'seems to have stopped');
  const seen = card(page, 'Right').locator('.alert', { hasText: 'seems to have stopped' }).getByRole('button', { name: 'Seen' });
  const acknowledged = async () => (await cellar.ask(`/v1/batches/${await idOf('Chestnut mild')}/alerts`)).alerts.find((alert) => alert.kind === 'stuck').acknowledged;
  await seen.click();
  const dialog = page.getByRole('dialog');
  await dialog.waitFor();
  await holdUp(page);
  await dialog.getByLabel('Token').fill('not the token');
  await dialog.getByRole('button', { name: 'Sign in' }).click();
  await until('it says so', async () => (await dialog.locator('.trouble').innerText()) !== '');
  assert.equal(await acknowledged(), undefined);
  await dialog.getByRole('button', { name: 'Not now' }).click();
  await dialog.waitFor({ state: 'detached' });
  assert.equal(await acknowledged(), undefined);

  await seen.click();
  await dialog.getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await until('it is acknowledged', acknowledged);
  await until('it is gone from the card', async () => !(await card(page, 'Right').innerText()).includes('seems to have stopped'));
  // The secret is nowhere a script could read it.
  assert.deepEqual(await page.evaluate(() => [document.cookie, localStorage.length, sessionStorage.length]), ['', 0, 0]);

  await page.goto(`${cellar.url}/#/batch/${await idOf('Chestnut mild')}`);
  await page.locator('.log').waitFor();
  await page.getByRole('button', { name: 'Note', exact: true }).click();
  await holdUp(page);
  await page.getByRole('textbox', { name: 'Note' }).fill('It smells of pears.');
  await page.getByRole('button', { name: 'Keep the note' }).click();
  await page.locator('.log', { hasText: 'It smells of pears.' }).waitFor();
  await page.getByRole('button', { name: 'Sample', exact: true }).click();
  await page.getByRole('textbox', { name: 'Gravity' }).fill('1,037');
  await page.getByRole('button', { name: 'Add the sample' }).click();
  await page.locator('.toast', { hasText: '1.037' }).waitFor();
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await holdUp(page);
  await page.getByRole('button', { name: 'Package it' }).click();
  await page.locator('.sheet .alert', { hasText: 'has not been found stable' }).waitFor();  // before the act
  await page.getByRole('button', { name: 'It is packaged' }).click();
  await page.locator('.sheet .alert', { hasText: 'Take care: Its gravity' }).waitFor();  // and after it
  await page.getByRole('dialog').getByRole('button', { name: 'Close' }).click();
  await until('it has left the vessel', async () => !(await cellar.ask('/v1/status')).batches.some((batch) => batch.vessel === 'Right'));
  await page.locator('.vessel', { hasText: 'packaged' }).waitFor();
  await holdUp(page);

  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.getByRole('button', { name: 'Sign in' }).waitFor();
  assert.equal(await page.evaluate(async (path) => (await fetch(path, { method: 'POST', body: 'x', headers: { 'Content-Type': 'text/plain', 'X-Gylekeeper': '1' } })).status,
    `/v1/batches/${batches.length}/notes`), 401);
  await page.context().close();
});

test('from another machine, looking needs the token, too', async () => {
  const page = await open(browser, 'about:blank', { viewport: phone });
  // What the daemon answers there; who is let in is decided in its own tests.
  const locked = (route) => route.fulfill({ status: 401, contentType: 'application/problem+json', body: JSON.stringify({ status: 401, detail: 'sign in first' }) });
  await page.route('**/v1/**', locked);
  await page.goto(`${cellar.url}/#/`);
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('button', { name: 'Not now' }).click();
  await shown(page, 'Sign in to see it on this device.');
  await holdUp(page);
  // What the page reads again by itself does not ask again.
  const refused = page.waitForResponse((answer) => answer.status() === 401);
  await page.evaluate(() => window.dispatchEvent(new Event('acted')));
  await (await refused).finished();
  await page.waitForTimeout(300);
  assert.equal(await dialog.count(), 0);
  await page.getByRole('main').getByRole('button', { name: 'Sign in' }).click();
  await dialog.getByLabel('Token').fill(kToken);
  await page.unroute('**/v1/**', locked);
  await dialog.getByRole('button', { name: 'Sign in' }).click();
  await shown(page, 'Amber no. 12');
  await page.context().close();
});

test('the page says that the daemon is away, and sees it come back', async () => {
  const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
  await shown(page, 'Amber no. 12');
  await cellar.stopDaemon();
  await page.locator('.link-state.lost', { hasText: 'No connection: shown is what was known' }).waitFor();
  await shown(page, 'Amber no. 12');  // what was known stays
  await holdUp(page);
  await cellar.startDaemon();
  await page.locator('.link-state.lost').waitFor({ state: 'detached', timeout: 40000 });
  // The network goes, not the daemon.
  await page.context().setOffline(true);
  await page.locator('.link-state.lost').waitFor();
  await page.context().setOffline(false);
  await page.locator('.link-state.lost').waitFor({ state: 'detached', timeout: 40000 });
  await page.context().close();
});

test('what was known last is shown while the daemon is away, also when the page is opened then', async () => {
  const context = await browser.newContext({ viewport: phone });
  const page = await context.newPage();
  await page.goto(`${cellar.url}/#/`);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await shown(page, 'Amber no. 12');
  await page.goto(`${cellar.url}/#/batch/${await idOf('Amber no. 12')}`);
  await page.locator('.log').waitFor();
  await cellar.stopDaemon();
  await page.reload();
  await page.locator('.link-state.lost', { hasText: 'No connection: shown is what was known' }).waitFor();
  await page.locator('.log').waitFor();
  await page.goto(`${cellar.url}/#/`);
  await shown(page, 'Amber no. 12');
  await holdUp(page);
  await cellar.startDaemon();
  await page.locator('.link-state.lost').waitFor({ state: 'detached', timeout: 40000 });
  await context.close();
});

test('what changed while the phone slept is there when it wakes', async () => {
  const context = await browser.newContext({ viewport: phone });
  // Asleep: no event reaches it.
  await context.addInitScript(() => { window.EventSource = class extends EventTarget { close() {} }; });
  const page = await context.newPage();
  await page.goto(`${cellar.url}/#/`);
  await shown(page, 'Orchard pale');
  const visible = (yes) => page.evaluate((hidden) => {
    Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
  }, !yes);
  await visible(false);
  cellar.tool('package', 'Orchard pale', '--at', '2026-11-24T19:00:00+01:00');
  await page.waitForTimeout(1500);
  assert.match(await page.locator('.cards').innerText(), /Orchard pale/);
  await visible(true);
  await until('the vessel is empty', async () => !(await page.locator('.cards').innerText()).includes('Orchard pale'), 8);
  await page.context().close();
});
