// A thermostat that waits for the brewer's yes, given from the page.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Cellar, until } from './support/cellar.mjs';
import { holdUp, launch, open, phone, shown } from './support/browser.mjs';

const kToken = 'a token of the tests, long enough';
const batch = { vessel: 'Left', sensors: ['hydrometer', 'probe'], scenario: 'three-week', name: 'Amber no. 12', pitched: '2026-11-10T17:30:00Z', until: '2026-11-18T12:00:00Z' };

let browser;
let cellar;
before(async () => {
  browser = await launch();
  cellar = new Cellar({
    batches: [batch],
    token: kToken,
    daemonOptions: ['--thermostats-follow'],
    extraToml: '[vessel.set_point]\ntopic = "target/left"\nlowest = "10 Cel"\nhighest = "24 Cel"\n',
  });
  await cellar.start();
});
after(async () => {
  await browser?.close();
  cellar?.stop();
});

test('the yes is given once, after the caution and signing in; what cannot be known is said before', async () => {
  const [{ id, state, next }] = (await cellar.ask('/v1/set-points')).set_points;
  assert.equal(state, 'awaits-yes');
  const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
  page.setDefaultTimeout(20000);
  await shown(page, 'waits for your yes');
  await holdUp(page);
  const wanted = `Ask it for ${next.temperature_celsius} °C`;
  await page.getByRole('button', { name: `${wanted} …` }).click();
  const sheet = page.getByRole('dialog', { name: 'Thermostat' });
  await sheet.locator('.alert', { hasText: 'never rely on software alone' }).waitFor();
  await sheet.getByText('whether the thermostat obeys cannot be seen from here').waitFor();
  await holdUp(page);
  const stateNow = async () => (await cellar.ask(`/v1/batches/${id}/set-point`)).state;
  await sheet.getByRole('button', { name: wanted, exact: true }).click();
  await page.getByLabel('Token').waitFor();
  assert.equal(await stateNow(), 'awaits-yes');
  await page.getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await until('the broker has it', async () => await stateNow() === 'asked');
  await sheet.getByText(/^The thermostat is asked for|^Hold 1 is over: the thermostat is asked for/).waitFor();
  assert.equal(await sheet.getByRole('button', { name: wanted }).count(), 0);
  await sheet.getByRole('button', { name: 'Close' }).click();
  await shown(page, `The thermostat is asked for ${next.temperature_celsius} °C`);
  assert.equal(await page.getByRole('button', { name: /^Ask it for/ }).count(), 0);
  // Afterwards it is found under "More".
  await page.goto(`${cellar.url}/#/batch/${id}`);
  await page.locator('.log').waitFor();
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await page.getByRole('dialog').getByRole('button', { name: 'Thermostat' }).click();
  await sheet.locator('.alert', { hasText: 'independent cut-out' }).waitFor();
  for (const width of [320, 390, 768, 1440]) {
    await page.setViewportSize({ width, height: 800 });
    assert.ok(await sheet.evaluate((one) => one.scrollWidth <= one.clientWidth), `it scrolls sideways at ${width}`);
  }
  await holdUp(page);
  assert.deepEqual(page.errors.filter((error) => !error.includes('401')), []);  // that it was not signed in yet
  await page.context().close();
});
