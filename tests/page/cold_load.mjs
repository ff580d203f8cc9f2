// How soon a slow phone shows a card and a chart, from nothing: node cold_load.mjs [TIMES] (the target page_cold_load). It
// measures, and asserts nothing. What is emulated is what Lighthouse throttles to as "slow 4G": 1.6 Mbit/s down and
// 150 ms there and back, on a processor four times slower; from memory.
import { Cellar } from './support/cellar.mjs';
import { launch, phone } from './support/browser.mjs';

const times = Number(process.argv[2] ?? 5);
const kNow = '2026-11-24T18:40:00Z';
const of = (name) => [`${name}-hydrometer`, `${name}-probe`];
const cellar = new Cellar({ token: 'a token of the tests, long enough', batches: [
  { vessel: 'Left', sensors: of('left'), scenario: 'three-week', name: 'Amber no. 12', pitched: '2026-11-08T17:30:00Z', until: kNow },
  { vessel: 'Right', sensors: of('right'), scenario: 'stuck', seed: 2, name: 'Chestnut mild', pitched: '2026-11-14T15:30:00Z', until: kNow },
  { vessel: 'Crock', sensors: of('crock'), scenario: 'quiet', seed: 3, name: 'Orchard pale', pitched: '2026-11-11T10:00:00Z', until: kNow },
] });

// From the start of the navigation until `what` is painted, ms.
async function firstSight(browser, url, what) {
  const context = await browser.newContext({ viewport: phone, deviceScaleFactor: 2, hasTouch: true, serviceWorkers: 'block' });
  const page = await context.newPage();
  const client = await context.newCDPSession(page);
  await client.send('Network.enable');
  await client.send('Network.emulateNetworkConditions', { offline: false, latency: 150, downloadThroughput: 1.6e6 / 8, uploadThroughput: 0.75e6 / 8 });
  await client.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await page.addInitScript((selector) => {
    const look = () => {
      if (document.querySelector(selector)) requestAnimationFrame(() => setTimeout(() => { window.seen = performance.now(); }));
      else requestAnimationFrame(look);
    };
    look();
  }, what);
  await page.goto(url, { waitUntil: 'commit' });
  const seen = await page.waitForFunction(() => window.seen, null, { timeout: 60000 }).then((handle) => handle.jsonValue());
  await page.waitForLoadState('load');
  const loaded = await page.evaluate(() => performance.getEntriesByType('resource').map((one) => [new URL(one.name).pathname + new URL(one.name).search, Math.round(one.startTime), Math.round(one.responseEnd), one.encodedBodySize]));
  await context.close();
  return { seen: Math.round(seen), loaded };
}

const browser = await launch();
try {
  await cellar.start();
  const [{ id }] = (await cellar.ask('/v1/status')).batches.filter((batch) => batch.name === 'Amber no. 12');
  for (const [name, hash, what] of [['first card', '#/', '.card'], ['chart', `#/batch/${id}`, '.u-over']]) {
    const all = [];
    for (let i = 0; i < times; ++i) all.push(await firstSight(browser, `${cellar.url}/${hash}`, what));
    console.log(`${name} after ${all.map((one) => one.seen).sort((a, b) => a - b).join(', ')} ms`);
    if (process.env.GYLE_TRACE) for (const row of all.at(-1).loaded) console.log('   ', row.join('  '));
  }
} finally {
  await browser.close();
  cellar.stop();
}
