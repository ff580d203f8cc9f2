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

test('the yes is given once, after signing in, and what is asked for is shown', async () => {
  const [{ id, state, next }] = (await cellar.ask('/v1/set-points')).set_points;
  assert.equal(state, 'awaits-yes');
  const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
  await shown(page, 'waits for your yes');
  await holdUp(page);
  await page.getByRole('button', { name: `Ask it for ${next.temperature_celsius} °C` }).click();
  const stateNow = async () => (await cellar.ask(`/v1/batches/${id}/set-point`)).state;
  await page.getByRole('dialog').waitFor();
  assert.equal(await stateNow(), 'awaits-yes');
  await page.getByRole('dialog').getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await until('the broker has it', async () => await stateNow() === 'asked');
  await shown(page, `The thermostat is asked for ${next.temperature_celsius} °C`);
  assert.equal(await page.getByRole('button', { name: /^Ask it for/ }).count(), 0);
  await page.goto(`${cellar.url}/#/batch/${id}`);
  await shown(page, 'never rely on software alone');
  await holdUp(page);
  assert.deepEqual(page.errors.filter((error) => !error.includes('401')), []);  // that it was not signed in yet
  await page.context().close();
});
