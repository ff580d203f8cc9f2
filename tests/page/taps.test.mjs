// The three tasks a brewer has most, with the fewest taps that a finger can do them in. Typing is no tap; the system's own
// windows are not counted.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { Cellar, until } from './support/cellar.mjs';
import { launch, open, phone, shown } from './support/browser.mjs';

const kToken = 'a token of the tests, long enough';
const kNow = '2026-11-24T18:40:00Z';
let browser;
let cellar;
let page;
let taps;
const tap = async (name, place = page) => {
  await place.getByRole('button', { name, exact: true }).tap();
  taps += 1;
};
before(async () => {
  browser = await launch();
  cellar = new Cellar({
    batches: [{ vessel: 'Right', sensors: ['right-hydrometer', 'right-probe'], scenario: 'stuck', seed: 2, name: 'Chestnut mild', pitched: '2026-11-14T15:30:00Z', until: kNow }],
    token: kToken,
    extraToml: '[[vessel]]\nname = "Left"\nsensors = ["left-probe"]\n',
  });
  await cellar.start();
  page = await open(browser, `${cellar.url}/#/`, { viewport: phone, hasTouch: true });
  page.setDefaultTimeout(15000);
  await shown(page, 'seems to have stopped');
  await page.getByRole('button', { name: 'Sign in' }).tap();  // once on a phone, not once a task
  await page.getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Sign out' }).waitFor();
});
after(async () => {
  await browser?.close();
  cellar?.stop();
});

test('to acknowledge an alert takes one tap', async () => {
  taps = 0;
  await tap('Seen', page.locator('.alert', { hasText: 'seems to have stopped' }));
  const [{ id }] = (await cellar.ask('/v1/status')).batches;
  await until('it is acknowledged', async () => (await cellar.ask(`/v1/batches/${id}/alerts`)).alerts.find((one) => one.kind === 'stuck').acknowledged, 15);
  assert.equal(taps, 1);
});

test('to enter a sample takes the number and no more than three taps', async () => {
  taps = 0;
  await tap('Sample');
  await page.keyboard.type('1.031');  // its field has the focus
  await tap('Add the sample');
  const [{ id }] = (await cellar.ask('/v1/status')).batches;
  await until('it is there', async () => (await cellar.ask(`/v1/batches/${id}/samples`)).samples.length === 1, 15);
  assert.ok(taps <= 3, `${taps} taps`);
});

test('to pitch from a recipe takes four taps, the measured gravity, and less than a minute', async () => {
  cellar.file('recipe.toml', 'name = "Amber no. 13"\nvolume = "12 L"\n[[grain]]\nname = "pale malt"\nmass = "2.6 kg"\nextract = "80 %"\n[yeast]\nname = "own culture"\n'
    + '[[plan]]\nhold = "17 C"\nuntil = { progress = 0.75 }\n[[plan]]\nhold = "20 C"\nuntil = "final-gravity"\n');
  const start = performance.now();
  taps = 0;
  const dialog = page.getByRole('dialog');
  await tap('Pitch', page.getByRole('region', { name: 'Left: empty' }));
  await dialog.getByText('By a recipe').tap();
  taps += 1;
  await dialog.getByLabel('The file of the recipe').setInputFiles(join(cellar.folder, 'recipe.toml'));
  taps += 1;
  await until('it is read', async () => await dialog.getByLabel('Name').inputValue() === 'Amber no. 13', 15);
  await page.keyboard.type('1.046');  // the estimate is selected, the measured one takes its place
  await tap('Pitch', dialog);
  await dialog.getByText('Amber no. 13 is in Left').waitFor();
  assert.equal(taps, 4);
  assert.ok(performance.now() - start < 60_000);
  const { spec } = (await cellar.ask('/v1/status')).batches.find((batch) => batch.vessel === 'Left');
  assert.equal(spec.original_gravity_sg, 1.046);
});
