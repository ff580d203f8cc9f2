// Sixty days of a reading a minute, with outliers: the picture is the beer's, and is soon there.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Cellar } from './support/cellar.mjs';
import { holdUp, launch, open, phone } from './support/browser.mjs';

const kPitched = Date.parse('2026-09-20T10:00:00Z') / 1000;
const kMinutes = 60 * 24 * 60;
const kOutliers = [2000, 20_011, 50_023, 81_001].map((minute, i) => [minute, [1.110, 0.995, 1.102, 0.992][i]]);  // minute, SG

let browser;
let cellar;
let id;
before(async () => {
  browser = await launch();
  cellar = new Cellar({ batches: [], extraToml: '[[vessel]]\nname = "Left"\nsensors = ["tube"]\n[ingest]\nreadings_per_hour = 10000000\n' });
  await cellar.start();
  cellar.file('batch.toml', `name = "Long sour"\npitched = ${new Date(kPitched * 1000).toISOString()}\noriginal_gravity = 1.048\n`);
  // The clock follows the messages, so one comes before the pitch.
  await cellar.publishText('cellar', JSON.stringify([{ bn: 'tube:', bt: kPitched, n: 'gravity', v: 1.048 }]));
  cellar.tool('pitch', '--vessel', 'Left', '--batch', `${cellar.folder}/batch.toml`);
  // A logistic fall to 1.012 with a noise of half a point; an hour in each message.
  let seed = 1;
  const noise = () => { seed = (seed * 48271) % 2147483647; return seed / 2147483647 - 0.5; };
  const odd = new Map(kOutliers);
  const gravity = (minute) => odd.get(minute) ?? Number((1.012 + 0.036 / (1 + Math.exp((minute / 1440 - 4) / 0.8)) + 0.001 * noise()).toFixed(5));
  const packs = [];
  for (let hour = 0; hour < kMinutes / 60; ++hour) {
    const records = Array.from({ length: 60 }, (_, k) => ({ t: 60 * k, n: 'gravity', v: gravity(hour * 60 + k) }));
    packs.push({ bt: kPitched + 60 + hour * 3600, name: 'tube', records: [...records, { n: 'beer_temperature', v: Number((18 + Math.sin(hour / 4)).toFixed(2)) }] });
  }
  await cellar.publish(packs);
  [{ id }] = (await cellar.ask('/v1/status')).batches;
});
after(async () => {
  await browser?.close();
  cellar?.stop();
});

test('outliers are signs at the edge, and take no room from the beer', async () => {
  for (const colorScheme of ['light', 'dark']) {
    const page = await open(browser, 'about:blank', { viewport: phone, colorScheme, hasTouch: true });
    const start = performance.now();
    await page.goto(`${cellar.url}/#/batch/${id}`);
    await page.locator('.u-over').nth(1).waitFor();
    console.log(`60 days of minutes: the chart after ${Math.round(performance.now() - start)} ms, here with a daemon that is not optimised`);
    await page.locator('.log').waitFor();
    assert.match(await page.locator('.chart-words').innerText(), /4 readings lie beyond the picture/);
    const { time, raw, high } = await cellar.ask(`/v1/batches/${id}/series?points=390`);
    assert.ok(time.length <= 390);
    for (const [, value] of kOutliers) assert.ok(raw.some((one) => Math.abs(one - value) < 0.0005), `${value} was thinned away`);
    assert.ok(Math.max(...high.filter((one) => one !== null)) < 1.06);
    // Painted: just inside the upper edge there is something where the first outlier is, and nothing half a day later.
    const painted = (minute) => page.evaluate(({ share }) => {
      const canvas = document.querySelector('.u-over').parentElement.querySelector('canvas');
      const over = document.querySelector('.u-over').getBoundingClientRect();
      const at = canvas.getBoundingClientRect();
      const scale = canvas.width / at.width;
      const context = canvas.getContext('2d');
      const ink = (x) => context.getImageData(Math.round((over.left - at.left + x * over.width - 3) * scale), Math.round((over.top - at.top + 2) * scale), Math.round(6 * scale), Math.round(6 * scale)).data
        .reduce((sum, value, i) => sum + (i % 4 === 3 && value > 0 ? 1 : 0), 0);
      return ink(share);
    }, { share: minute / kMinutes });
    // What is shown begins before the pitch and ends after the forecast; so the place is looked for near where it must be.
    const found = [];
    for (let minute = -1500; minute < 16_000; minute += 200) found.push(await painted(minute));
    assert.ok(found.some((ink) => ink > 8), `no sign at the edge: ${found}`);
    assert.ok(found.filter((ink) => ink > 8).length < found.length / 2, `more than a sign at the edge: ${found}`);
    await holdUp(page);
    assert.deepEqual(page.errors, []);
    await page.context().close();
  }
});
