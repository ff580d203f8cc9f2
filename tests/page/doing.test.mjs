// What a brewer enters from a phone: each act against the daemon, and what it says before and after.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Cellar, until } from './support/cellar.mjs';
import { desk, holdUp, launch, open, phone, shown } from './support/browser.mjs';

const kToken = 'a token of the tests, long enough';
const kNow = '2026-11-24T18:40:00Z';
const recipe = `name = "Amber no. 13"
volume = "12 L"
[[grain]]
name = "pale malt"
mass = "2.6 kg"
extract = "80 %"
[yeast]
name = "own culture"
attenuation = [0.71, 0.78]
temperature = ["15 C", "21 C"]
[[plan]]
hold = "17 C"
until = { progress = 0.75 }
[[plan]]
hold = "20 C"
until = "final-gravity"
`;

let browser;
let cellar;
let page;
let id;
before(async () => {
  browser = await launch();
  cellar = new Cellar({
    batches: [{ vessel: 'Left', sensors: ['left-hydrometer', 'left-probe'], scenario: 'three-week', name: 'Amber no. 12', pitched: '2026-11-20T17:30:00Z', until: kNow }],
    token: kToken,
    extraToml: '[[vessel]]\nname = "Right"\nsensors = ["right-probe"]\n[[vessel]]\nname = "Small"\nsensors = []\n[[channel]]\nname = "house"\nkind = "mqtt"\ntopic = "alerts"\n',
  });
  await cellar.start();
  [{ id }] = (await cellar.ask('/v1/status')).batches;
  page = await open(browser, `${cellar.url}/#/`, { viewport: phone, hasTouch: true });
  page.setDefaultTimeout(10000);
  await shown(page, 'Amber no. 12');
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByRole('dialog').getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Sign out' }).waitFor();
});
after(async () => {
  await browser?.close();
  cellar?.stop();
});

const dialog = () => page.getByRole('dialog').last();
// Loaded again each time: what a failed test left open is gone.
let visits = 0;
const to = (hash) => page.goto(`${cellar.url}/?${visits += 1}${hash}`);
const press = (name) => dialog().getByRole('button', { name, exact: true }).click();
const toBatch = async () => {
  await to(`#/batch/${id}`);
  await page.locator('.log').waitFor();
};
const fromMore = async (name) => {
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await press(name);
};
const listOf = async (what) => (await cellar.ask(`/v1/batches/%23${id}/${what}`))[what];
// An open sheet holds at every width, and by axe.
async function sheetHolds() {
  for (const viewport of [{ width: 320, height: 700 }, { width: 768, height: 1024 }, desk, phone]) {
    await page.setViewportSize(viewport);
    assert.ok(await dialog().evaluate((one) => one.scrollWidth <= one.clientWidth), `it scrolls sideways at ${viewport.width}`);
  }
  for (const colorScheme of ['dark', 'light']) {
    await page.emulateMedia({ colorScheme });
    await holdUp(page);
  }
}

test('pitch from a recipe: the form is filled, the gas has a way out, before and after', async () => {
  await to('#/');
  const vessel = page.getByRole('region', { name: 'Right: empty' });
  const start = performance.now();
  await vessel.getByRole('button', { name: 'Pitch' }).click();
  await dialog().locator('.alert', { hasText: 'Leave the gas a way out' }).waitFor();
  await dialog().getByText('By a recipe').click();
  await dialog().getByLabel('or its text').fill('name = "x"\n');
  await press('Read it');
  await page.locator('.toast', { hasText: 'volume' }).waitFor();  // what is missing
  await dialog().getByLabel('or its text').fill(recipe);
  await press('Read it');
  await until('it is read', async () => await dialog().getByLabel('Name').inputValue() === 'Amber no. 13', 10);
  assert.match(await dialog().getByLabel('Original gravity').inputValue(), /^1\.0\d\d/);
  assert.equal(await dialog().getByLabel('Volume in L').inputValue(), '12');
  await shown(page, 'enter the measured one');
  await sheetHolds();
  await dialog().getByLabel('Original gravity').fill('1,046');
  await press('Pitch');
  await dialog().getByText('Amber no. 13 is in Right').waitFor();
  await dialog().locator('.alert').waitFor();
  assert.ok(performance.now() - start < 60_000);
  const { spec } = (await cellar.ask('/v1/status')).batches.find((batch) => batch.vessel === 'Right');
  assert.equal(spec.original_gravity_sg, 1.046);
  assert.deepEqual(spec.plan, [{ hold_celsius: 17, until: { progress: 0.75 } }, { hold_celsius: 20, until: 'final-gravity' }]);
  assert.deepEqual([spec.yeast.name, spec.yeast.attenuation_low, spec.yeast.temperature_high_celsius], ['own culture', 0.71, 21]);
  await press('Close');
  await until('the vessel is taken', async () => await vessel.count() === 0, 10);
});

test('pitch by hand, at a time, with a plan', async () => {
  await to('#/');
  await page.getByRole('region', { name: 'Small: empty' }).getByRole('button', { name: 'Pitch' }).click();
  await dialog().getByLabel('Name').fill('Test "jar"');
  await press('Add a hold');
  await dialog().getByLabel('Hold at').fill('18,5');
  await dialog().getByLabel('until').selectOption('days');
  await dialog().getByLabel('How much').fill('6');
  await dialog().getByLabel('Pitched').fill('2026-11-23T09:15');  // Berlin: an hour ahead of UTC
  await press('Pitch');
  await dialog().getByText('is in Small').waitFor();
  const { spec } = (await cellar.ask('/v1/status')).batches.find((batch) => batch.vessel === 'Small');
  assert.equal(spec.name, 'Test "jar"');
  assert.equal(spec.pitched, '2026-11-23T08:15:00Z');
  assert.deepEqual(spec.plan, [{ hold_celsius: 18.5, until: { days: 6 } }]);
  await press('Close');
});

test('a sample: two taps and the number; with its time, by a refractometer', async () => {
  await toBatch();
  const toast = page.locator('.toast');
  await page.getByRole('button', { name: 'Sample', exact: true }).click();
  await page.keyboard.type('1,031');  // the field has the focus
  await sheetHolds();
  await press('Add the sample');
  await dialog().waitFor({ state: 'detached' });
  assert.equal((await listOf('samples')).at(-1).gravity_sg, 1.031);
  await page.getByRole('button', { name: 'Sample', exact: true }).click();
  await dialog().getByLabel('a refractometer').check();
  await dialog().getByLabel('Degrees Brix').fill('8.6');
  await dialog().getByLabel('Taken').fill('2026-11-24T17:00');
  await press('Add the sample');
  await toast.filter({ hasText: 'The refractometer shows 8.6' }).waitFor();
  const samples = await listOf('samples');
  assert.equal(samples.length, 2);
  assert.ok(samples.some((one) => one.time === '2026-11-24T16:00:00Z'));
});

test('a note with its time; corrected, taken back, undone', async () => {
  await toBatch();
  await page.getByRole('button', { name: 'Note', exact: true }).click();
  await page.getByRole('textbox', { name: 'Note' }).fill('Krausen is high.');
  await dialog().getByLabel('When').fill('2026-11-22T20:00');
  await press('Keep the note');
  await dialog().waitFor({ state: 'detached' });
  assert.equal((await listOf('notes'))[0].time, '2026-11-22T19:00:00Z');
  await fromMore('Correct an entry, or undo');
  await dialog().getByText('Krausen is high.').waitFor();
  await sheetHolds();
  await press('Correct: Krausen is high.');
  await page.getByRole('textbox', { name: 'Note' }).fill('Krausen falls.');
  await press('Correct it');
  await dialog().getByText('Krausen falls.', { exact: true }).waitFor();
  const [note] = await listOf('notes');
  assert.deepEqual([note.text, note.time], ['Krausen falls.', '2026-11-22T19:00:00Z']);
  await press('Take back: Krausen falls.');
  await until('it is gone', async () => (await listOf('notes')).length === 0, 10);
  await dialog().getByRole('button', { name: /Undo the correction of .* was taken back/ }).click();
  await until('it is back', async () => (await listOf('notes')).length === 1, 10);
  await press('Close');
});

test('a sample is corrected, taken back, undone', async () => {
  await toBatch();
  await page.getByRole('button', { name: 'Sample', exact: true }).click();
  await page.keyboard.type('1.0333');
  await press('Add the sample');
  await dialog().waitFor({ state: 'detached' });
  const counted = (await listOf('samples')).length;
  await fromMore('Correct an entry, or undo');
  await press('Correct: 1.0333');
  assert.equal(await page.getByRole('textbox', { name: 'Gravity' }).inputValue(), '1.0333');
  await page.getByRole('textbox', { name: 'Gravity' }).fill('1.0305');
  await dialog().getByLabel('Taken').fill('2026-11-24T12:00');
  await sheetHolds();
  await press('Correct it');
  await dialog().getByText('1.0305', { exact: true }).waitFor();
  assert.ok((await listOf('samples')).some((one) => one.gravity_sg === 1.0305 && one.time === '2026-11-24T11:00:00Z'));
  await press('Take back: 1.0305');
  await until('it is gone', async () => (await listOf('samples')).length === counted - 1, 10);
  await dialog().getByRole('button', { name: /Undo the correction of .*1\.0305.* was taken back/ }).click();
  await until('it is back', async () => (await listOf('samples')).length === counted, 10);
  await press('Close');
});

test('the description is corrected; a mistake in it changes nothing; undone', async () => {
  await toBatch();
  await fromMore('Correct an entry, or undo');
  await press('Correct the description');
  const text = await dialog().getByLabel('Its description').inputValue();
  assert.match(text, /name = "Amber no\. 12"/);
  await sheetHolds();
  await dialog().getByLabel('Its description').fill(text.replace(/^original_gravity.*$/m, 'original_gravity = 2.5'));
  await press('Correct it');
  await page.locator('.toast', { hasText: 'original_gravity' }).waitFor();  // what is wrong, and where
  await dialog().getByLabel('Its description').fill(text.replace('Amber no. 12', 'Amber no. 12a'));
  await press('Correct it');
  const nameOf = async () => (await cellar.ask(`/v1/batches/%23${id}`)).name;
  await until('it has the new name', async () => await nameOf() === 'Amber no. 12a', 10);
  await page.locator('h1', { hasText: 'Amber no. 12a' }).waitFor();
  await dialog().getByRole('button', { name: /Undo the correction of .* The description was changed/ }).first().click();
  await until('it has its old name', async () => await nameOf() === 'Amber no. 12', 10);
  await press('Close');
});

test('additions: what can foam over and what is not certain before, what it does after; taken back, undone', async () => {
  const additions = async () => (await cellar.ask(`/v1/batches/%23${id}/additions`)).additions;
  await toBatch();
  await fromMore('Add sugar, fruit, water or hops');
  await dialog().locator('.alert', { hasText: 'can foam over' }).waitFor();
  for (const [kind, doubt] of [['fruit', 'differs from fruit to fruit'], ['water', 'Amount in L'], ['dry hops', 'make some sugar ferment'], ['sugar', 'makes gas in the bottle']]) {
    await dialog().getByLabel(kind, { exact: true }).check();
    await dialog().getByText(doubt).waitFor();
  }
  assert.equal(await dialog().getByLabel('Sugar in it, %').isVisible(), false);
  await sheetHolds();
  await dialog().getByLabel('Amount in g').fill('250');
  await dialog().getByLabel('Added').fill('2026-11-24T18:00');
  await press('It is added');
  await dialog().getByText(/250 g of sugar: gravity up by \d/).waitFor();
  assert.deepEqual(await additions(), [{ number: 1, what: 'sugar', time: '2026-11-24T17:00:00Z', kg: 0.25 }]);
  await press('Undo');
  await until('it is undone', async () => (await additions()).length === 0, 10);
  await fromMore('Add sugar, fruit, water or hops');
  await dialog().getByLabel('fruit', { exact: true }).check();
  await dialog().getByLabel('Amount in g').fill('1500');
  await dialog().getByLabel('Sugar in it, %').fill('12');
  await press('It is added');
  await dialog().getByText(/1\.50 kg of fruit \(12 % sugar\)/).waitFor();
  await press('Close');
  await page.locator('.log', { hasText: 'Added: 1.5 kg of fruit (12 % sugar).' }).waitFor();
  await page.getByRole('group', { name: 'What happened' }).getByRole('button', { name: /Addition|marks/ }).first().waitFor();
  await fromMore('Correct an entry, or undo');
  await press('Take back: 1.5 kg of fruit (12 % sugar)');
  await until('it is taken back', async () => (await additions()).length === 0, 10);
  await dialog().getByText('Taken back: 1.5 kg of fruit (12 % sugar)').waitFor();
  await press('Close');
});

test('what if: ready by Saturday', async () => {
  await toBatch();
  await fromMore('What if …? Ready by a date');
  assert.equal(await dialog().getByLabel('Ready to package by').inputValue(), '2026-11-28T12:00');
  await dialog().getByLabel('And if it were held').fill('22');
  await press('Ask');
  await dialog().getByText(/^Ready by Sat 28 Nov 12:00 in /).first().waitFor();
  await sheetHolds();
  await press('Cancel');
});

test('packaging: caution before, no sums for an unfinished beer until asked for, the caution after, undo', async () => {
  await toBatch();
  await fromMore('Package it');
  await dialog().locator('.alert', { hasText: 'has not been found stable' }).waitFor();
  await dialog().locator('.sums', { hasText: 'must not be packaged yet' }).waitFor();
  assert.equal(await dialog().locator('.sums .next-what').count(), 0);
  await press('Work it out all the same');
  await dialog().locator('.sums .next-what', { hasText: 'g of sugar in all' }).waitFor();
  await dialog().getByLabel('a keg').check();
  await dialog().locator('.sums .next-what', { hasText: /\d bar on the gauge/ }).waitFor();
  await sheetHolds();
  await press('It is packaged');
  await dialog().locator('.alert', { hasText: 'Take care: Its gravity' }).waitFor();
  assert.ok((await cellar.ask(`/v1/batches/%23${id}`)).packaged);
  // When it left its vessel can be corrected, too.
  await press('Close');
  await page.locator('.vessel', { hasText: 'packaged' }).waitFor();
  // What it went into: the caution before, when it should have its gas after.
  const fills = async () => (await cellar.ask(`/v1/batches/%23${id}/fills`)).fills;
  await fromMore('Bottles and kegs');
  await dialog().locator('.alert', { hasText: 'can burst' }).waitFor();
  await dialog().getByLabel('kegs', { exact: true }).check();
  assert.equal(await dialog().getByLabel('a cylinder').isChecked(), true);
  await dialog().getByLabel('Each took, in L').waitFor();
  await dialog().getByLabel('bottles', { exact: true }).check();
  await dialog().getByLabel('How many').fill('22');
  await dialog().getByLabel('Each took, in mL').fill('330');
  await sheetHolds();
  await press('It is filled');
  await dialog().getByText(/22 bottles of 330 mL, primed/).waitFor();
  await dialog().getByText('Take care:').waitFor();
  await press('Undo');
  await until('it is undone', async () => (await fills()).length === 0, 10);
  await fromMore('Bottles and kegs');
  await dialog().getByLabel('How many').fill('20');
  await press('It is filled');
  await dialog().getByText(/20 bottles of 500 mL/).waitFor();
  await press('Close');
  await page.locator('.card', { hasText: 'Bottles and kegs' }).getByText(/20 bottles of 500 mL/).waitFor();
  await fromMore('Correct an entry, or undo');
  await press('Take back: 20 × 0.5 L in bottles');
  await until('it is taken back', async () => (await fills()).length === 0, 10);
  await press('Correct: It left its vessel.');
  await dialog().getByLabel('It left the vessel').fill('2026-11-24T19:00');
  await sheetHolds();
  await press('Correct it');
  await until('it is corrected', async () => (await cellar.ask(`/v1/batches/%23${id}`)).packaged === '2026-11-24T18:00:00Z', 10);
  await press('Close');
  await fromMore('Correct an entry, or undo');
  await press('Take back: It left its vessel.');
  await until('it is in its vessel again', async () => !(await cellar.ask(`/v1/batches/%23${id}`)).packaged, 10);
  await press('Close');
  await page.locator('.vessel', { hasText: 'day 5' }).waitFor();
  // The way back is also in the answer itself.
  await fromMore('Package it');
  await press('It is packaged');
  await press('Undo: it is still in its vessel');
  await until('it is in its vessel again', async () => !(await cellar.ask(`/v1/batches/%23${id}`)).packaged, 10);
});

test('setup: a channel is tested, a refused topic is mapped', async () => {
  await to('#/setup');
  await page.getByRole('button', { name: 'Send a test to house' }).click();
  await page.locator('.toast', { hasText: 'A test message is on its way' }).waitFor();
  await until('it is delivered', async () => (await cellar.ask('/v1/channels')).channels[0].waiting === 0, 15);
  // A sensor that belongs to a vessel and was never heard is to be seen to.
  await page.locator('.first-use', { hasText: 'right-probe (in Right): not heard yet.' }).waitFor();
  await cellar.publishText('cellar', '[{"bn":"right-probe:","bt":1795545500,"n":"beer_temperature","v":18.2}]');
  await page.locator('.first-use', { hasText: '6 of 6 done' }).waitFor();
  await cellar.publishText('cellar', '{"gravity": 1.048, "temp_c": 18.2}');
  await page.getByRole('button', { name: 'Map this topic: cellar' }).first().click({ timeout: 15000 });
  await press('Propose');
  assert.match(await dialog().locator('pre').innerText(), /\[\[source\]\][^]*\/gravity/);
  await sheetHolds();
  await press('Cancel');
  for (const viewport of [{ width: 320, height: 700 }, desk, phone]) {
    await page.setViewportSize(viewport);
    await holdUp(page);
  }
  assert.deepEqual(page.errors.filter((error) => !/40[019]|422/.test(error)), []);
});

test('a hydrometer is calibrated by pairs, first only tried, and set aside again', async () => {
  await cellar.publishText('cellar', '[{"bn":"tube:","bt":1795545500,"n":"inclination","u":"deg","v":40}]');
  await to('#/setup');
  await page.getByRole('button', { name: 'Calibrate tube' }).click();
  await dialog().getByLabel('Pairs').fill('20 = 1.000\n40 = 1.030\n57 = 1.055');
  await sheetHolds();
  await dialog().getByLabel('Only try it').check();
  await press('Calibrate');
  await dialog().getByText('Nothing is stored').waitFor();
  const known = async () => (await cellar.ask('/v1/sensors/tube/calibration')).calibrations;
  assert.equal((await known()).length, 0);
  await press('Close');
  await page.getByRole('button', { name: 'Calibrate tube' }).click();
  await dialog().getByLabel('Pairs').fill('20 = 1.000\n40 = 1.030\n57 = 1.055');
  await press('Calibrate');
  await dialog().getByText('Stored as calibration').waitFor();
  assert.equal((await known())[0].fit.points.length, 3);
  await press('Undo: set it aside');
  await until('it is set aside', async () => (await known())[0].fit === undefined, 10);
  // It is in no vessel: its block is proposed, and it can be forgotten.
  await page.getByText('Put it in a vessel').click();
  assert.match(await page.locator('.paste').innerText(), /sensors = \["tube"\]/);
  await page.getByRole('button', { name: 'Forget tube' }).click();
  await until('it is forgotten', async () => !(await cellar.ask('/v1/sensors')).sensors.some((one) => one.sensor === 'tube'), 10);
});
