// Pictures of the page for README.md: node screenshots.mjs FOLDER (tools/screenshots).
import { join } from 'node:path';
import { Cellar } from './support/cellar.mjs';
import { launch, open } from './support/browser.mjs';

const [folder] = process.argv.slice(2);
const now = '2026-11-24T18:40:00Z';
const of = (name) => [`${name}-hydrometer`, `${name}-probe`];
const cellar = new Cellar({ token: 'with one, there are buttons', batches: [
  { vessel: 'Steel bucket', sensors: of('steel'), scenario: 'quiet', seed: 5, name: 'Amber no. 12', pitched: '2026-11-19T18:30:00Z', until: now },
  { vessel: 'Glass jar', sensors: of('glass'), scenario: 'stuck', seed: 2, name: 'Chestnut mild', pitched: '2026-11-14T15:30:00Z', until: now },
  { vessel: 'Oak crock', sensors: of('oak'), scenario: 'quiet', seed: 3, name: 'Orchard pale', pitched: '2026-11-11T10:00:00Z', until: now },
] });
const browser = await launch();
try {
  await cellar.start();
  const take = async (name, hash, options) => {
    const page = await open(browser, `${cellar.url}/${hash}`, options);
    await page.locator(hash === '#/' ? '.fresh' : '.log').first().waitFor();
    await page.screenshot({ path: join(folder, name) });
    await page.context().close();
  };
  await take('cellar.png', '#/', { viewport: { width: 1180, height: 720 } });
  const { batches } = await cellar.ask('/v1/status');
  const id = batches.find((batch) => batch.name === 'Amber no. 12').id;
  await take('batch.png', `#/batch/${id}`, { viewport: { width: 780, height: 1300 } });
} finally {
  await browser.close();
  cellar.stop();
}
