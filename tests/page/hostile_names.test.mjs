// Every text that a person or a sensor can put in is shown as text. The corpus: what OWASP's cheat sheet on evading
// cross-site scripting filters rests on (tags, handlers, breaking out of attributes and scripts, addresses that are code).
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Cellar } from './support/cellar.mjs';
import { holdUp, launch, open, phone } from './support/browser.mjs';

const corpus = [
  '<script>window.harmed=1</script>',
  '<img src=x onerror="window.harmed=1">',
  '"><svg onload=window.harmed=1>',
  '\'" autofocus onfocus=window.harmed=1 x="',
  '</title></style></textarea><script>window.harmed=1</script>',
  'javascript:window.harmed=1',
  '{{constructor.constructor("window.harmed=1")()}}',
  '&lt;img src=x onerror=window.harmed=1&gt;',
  '<a href="javascript:window.harmed=1">x</a>',
];
const kToken = 'a token of the tests, long enough';
const kSensor = '<img src=x onerror=window.harmed=1>';

let browser;
let cellar;
before(async () => {
  const batches = corpus.map((name, i) => ({ vessel: `${i} ${name}`.replace(/[/+#]/g, '').slice(0, 60), sensors: [`hydrometer-${i}`, `probe-${i}`], scenario: 'stuck', seed: i + 1,
    name, pitched: '2026-11-18T15:30:00Z', until: '2026-11-24T18:40:00Z' }));
  batches[0].sensors.push(kSensor);
  browser = await launch();
  cellar = new Cellar({ batches, token: kToken, display: { gravity: 'P', temperature: 'F', time_zone: 'Asia/Kathmandu' }, extraToml: `
[[source]]
topic = "odd"
format = "json"
sensor = { pointer = "/id" }
time = { pointer = "/t", as = "epoch-s" }
ambient_temperature = { pointer = "/air", unit = "Cel" }` });
  await cellar.start();
  await cellar.publishText('odd', JSON.stringify({ id: kSensor, t: Date.parse('2026-11-24T18:41:00Z') / 1000, air: 17 }));
});
after(async () => {
  await browser?.close();
  cellar?.stop();
});

async function unharmed(page) {
  assert.equal(await page.evaluate(() => window.harmed), undefined);
  const foreign = await page.evaluate(() => [...document.querySelectorAll('main script, main img, main iframe, main style, [onerror], [onload], [onfocus], a[href^="javascript:"]')].map((e) => e.outerHTML));
  assert.deepEqual(foreign, []);
  assert.deepEqual(page.errors, []);
}

test('names of batches, vessels and sensors, and the alerts that carry them', async () => {
  const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
  await page.locator('.card').nth(corpus.length - 1).waitFor();
  const names = await page.locator('.card h2').allInnerTexts();
  for (const name of corpus) assert.ok(names.includes(name), name);
  assert.ok((await page.locator('main').innerText()).includes('seems to have stopped'));
  await unharmed(page);
  await holdUp(page);
  const { batches } = await cellar.ask('/v1/status');
  for (const batch of batches) {
    await page.goto(`${cellar.url}/#/batch/${batch.id}`);
    await page.getByText('What happened').waitFor();
    assert.equal(await page.locator('h1').innerText(), batch.name);
    assert.equal((await page.title()).replace(/^\(\d+\) /, ''), `${batch.name} · Gylekeeper`);
    await unharmed(page);
  }
  await page.goto(`${cellar.url}/#/batch/${batches.find((batch) => batch.name === corpus[0]).id}`);
  await page.getByText('How far the sensors are trusted').click();
  await page.locator('main', { hasText: kSensor }).waitFor();
  await unharmed(page);
  await page.goto(`${cellar.url}/#/compare`);
  await page.locator('.u-over').first().waitFor();
  await unharmed(page);
  await page.context().close();
});

test('notes', async () => {
  const page = await open(browser, `${cellar.url}/#/batch/1`);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Sign out' }).waitFor();
  for (const text of corpus) {
    await page.getByRole('button', { name: 'Note', exact: true }).click();
    await page.getByRole('textbox', { name: 'Note' }).fill(text);
    await page.getByRole('button', { name: 'Keep the note' }).click();
    await page.locator('.log .is-note').filter({ hasText: text }).first().waitFor();
  }
  await unharmed(page);
  await page.context().close();
});

test('a brewer who thinks in Plato and Fahrenheit, in a zone of three quarters of an hour', async () => {
  const [batch] = (await cellar.ask('/v1/status')).batches;
  const page = await open(browser, `${cellar.url}/#/batch/${batch.id}`);
  await page.locator('.log').waitFor();
  // The daemon has its own conversions; its sentence and the page's must say the same.
  const said = batch.lines[1].match(/, ([\d.]+) ± ([\d.]+) °P, ([\d.]+ °F),/);
  assert.ok(said, batch.lines[1]);
  const head = await page.locator('.batch-head').innerText();
  for (const text of [`${said[1]} °P`, `± ${said[2]} °P`, said[3]]) assert.ok(head.includes(text), `${text} in ${head}`);
  // 15:30 UTC is 21:15 there (tzdata: +05:45).
  assert.match(await page.locator('.chart-words').innerText(), /From Wed 18 Nov 21:15 to/);
  await page.locator('.plots').focus();
  await page.keyboard.press('ArrowRight');
  assert.match(await page.locator('.readout').innerText(), /gravity 1[0-9]\.\d °P .*beer [67]\d\.\d °F/s);
  assert.deepEqual(page.errors, []);
  await page.context().close();
});

test('an address that is no batch', async () => {
  const page = await open(browser, `${cellar.url}/#/batch/${encodeURIComponent(corpus[1])}%2F..%2F..`);
  await page.locator('h1').waitFor();
  assert.equal(await page.evaluate(() => window.harmed), undefined);
  await page.context().close();
});
