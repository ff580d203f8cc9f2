// From an empty installation to an alert that arrived: a list that ticks itself off, and says what `gylekeeper check` says.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Cellar, until } from './support/cellar.mjs';
import { desk, holdUp, launch, open, phone, shown } from './support/browser.mjs';

const kToken = 'a token of the tests, long enough';
let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser?.close(); });

async function withCellar(options, visit) {
  const cellar = new Cellar({ batches: [], ...options });
  try {
    await cellar.start();
    const page = await open(browser, `${cellar.url}/#/`, { viewport: phone });
    page.setDefaultTimeout(20000);
    await visit(cellar, page);
    await page.context().close();
  } finally {
    cellar.stop();
  }
}

// What is wrong by the daemon's own check is on the page, in the same words.
async function saysWhatTheCheckSays(cellar, page, parts) {
  const { checks } = await cellar.ask('/v1/check');
  const wrong = checks.filter((one) => one.verdict === 'wrong' && parts.includes(one.part));
  const plain = (text) => text.replaceAll('`', '').replace(/\s+/g, ' ');  // commands are set in another type
  for (const one of wrong) {
    await until(`it says “${one.text} ${one.to_do}”`, async () => plain(await page.locator('.first-use').innerText()).includes(plain(`${one.text} ${one.to_do}`)), 15);
  }
  return wrong.length;
}

test('who may only read sees no buttons, and how to get in; the list ticks itself off', () => withCellar({ extraToml: '[[vessel]]\nname = "Left"\nsensors = []\n' }, async (cellar, page) => {
  await shown(page, 'First use');
  await shown(page, 'name a file with a token as token_file');
  assert.deepEqual(await page.getByRole('button').allInnerTexts(), ['More']);  // what can be read besides
  await shown(page, '2 of 6 done');
  assert.equal(await saysWhatTheCheckSays(cellar, page, ['broker', 'sensors']), 1);  // nothing was heard
  await cellar.publishText('cellar', '[{"bn":"left-probe:","n":"beer_temperature","v":18.2}]');
  await shown(page, '3 of 6 done');
  await holdUp(page);
}));

test('without a vessel it proposes the block of one that was heard, and maps what nobody reads', () => withCellar({ token: kToken }, async (cellar, page) => {
  await shown(page, '2 of 6 done');
  assert.equal(await saysWhatTheCheckSays(cellar, page, ['broker', 'sensors']), 2);
  // A message that its source cannot read: from the list it is one tap to the block that can.
  await cellar.publishText('cellar', '{"gravity": 1.048, "temp_c": 18.2}');
  await page.getByRole('button', { name: 'Map this topic: cellar' }).click();
  const dialog = page.getByRole('dialog', { name: 'Map a topic' });
  assert.equal(await dialog.getByLabel('A message, whole').inputValue(), '{"gravity": 1.048, "temp_c": 18.2}');
  await dialog.getByRole('button', { name: 'Propose' }).click();
  await page.getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  assert.match(await dialog.locator('pre').innerText(), /\[\[source\]\][^]*\/gravity/);
  await dialog.getByRole('button', { name: 'Cancel' }).click();

  await cellar.publishText('cellar', '[{"bn":"tube:","n":"gravity","v":1.048}]');
  await shown(page, '3 of 6 done');
  assert.equal(await page.locator('.first-use pre').innerText(), '[[vessel]]\nname = "left"\nsensors = ["tube"]\n');
  await page.context().grantPermissions(['clipboard-read', 'clipboard-write']);
  await page.getByRole('button', { name: 'Copy' }).click();
  await page.locator('.toast', { hasText: 'Copied.' }).waitFor();
  assert.equal(await page.evaluate(() => navigator.clipboard.readText()), '[[vessel]]\nname = "left"\nsensors = ["tube"]\n');
  await holdUp(page);

  // Neither moves the clock, and both are seen by themselves: a message refused, and a sensor that is in no vessel.
  await page.getByRole('link', { name: 'Setup' }).click();
  await page.locator('.checks').waitFor();
  await cellar.publishText('cellar', '{"refused": "again"}');
  await page.getByText('{"refused": "again"}').waitFor();
  await cellar.publishText('cellar', '[{"bn":"shelf:","n":"ambient_temperature","v":14}]');
  await page.getByRole('listitem').filter({ hasText: 'shelf, in no vessel' }).waitFor();
}));

test('to the end: heard, pitched, a test alert arrived; the setup is the check', () => withCellar({ token: kToken,
  extraToml: '[[vessel]]\nname = "Left"\nsensors = ["tube"]\n[[channel]]\nname = "house"\nkind = "mqtt"\ntopic = "alerts"\n' }, async (cellar, page) => {
  await shown(page, '3 of 6 done');  // the broker, the vessel, the token
  assert.equal(await saysWhatTheCheckSays(cellar, page, ['sensors']), 1);
  await cellar.publishText('cellar', '[{"bn":"tube:","bt":1795545500,"n":"gravity","v":1.048}]');
  await shown(page, '4 of 6 done');
  await page.getByRole('link', { name: 'Setup' }).click();
  await page.getByRole('button', { name: 'Send a test to house' }).click();
  await page.getByLabel('Token').fill(kToken);
  await page.keyboard.press('Enter');
  await page.locator('.first-use', { hasText: '5 of 6 done' }).waitFor();
  const { checks } = await cellar.ask('/v1/check');
  const text = await page.locator('.checks').evaluate((one) => { for (const part of one.querySelectorAll('details')) part.open = true; return one.innerText; });
  for (const one of checks) assert.ok(text.includes(one.text.replaceAll('`', '')), one.text);
  for (const viewport of [{ width: 320, height: 700 }, { width: 768, height: 1024 }, desk, phone]) {
    await page.setViewportSize(viewport);
    await holdUp(page);
  }
  await page.getByRole('link', { name: 'Cellar' }).click();
  await page.getByRole('region', { name: 'Left: empty' }).getByRole('button', { name: 'Pitch' }).click();
  await page.getByLabel('Name').fill('Amber no. 12');
  await page.getByRole('dialog').getByRole('button', { name: 'Pitch', exact: true }).click();
  await page.getByText('Amber no. 12 is in Left').waitFor();
  await page.getByRole('dialog').getByRole('button', { name: 'Close' }).click();
  await until('the list is gone', async () => await page.locator('.first-use').count() === 0, 10);
  await page.getByRole('link', { name: 'Setup' }).click();
  await shown(page, 'All is set up: 6 of 6 done.');
}));
