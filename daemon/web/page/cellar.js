// The cellar at a glance: what wants to be seen first in full, and a line for each vessel where all is well.
import { bdi, h, replaceContent } from './dom.js';
import * as show from './show.js';
import { showBar, vesselButtons } from './bar.js';
import { alertBox, alertBoxes, arrow, nextBox, numbers, sensorLine, setPointBox, since, spark, stageLine, way } from './parts.js';
import { firstUse, setupFacts } from './setup.js';
import { conclude, openAlerts } from './todo.js';

export class CellarPage {
  name = 'cellar';

  title = 'Cellar';

  constructor(place) { this.place = place; }

  async refresh(cellar) {
    this.cellar = cellar;
    const first = cellar.batches.length + cellar.packaged.length === 0;
    this.setup = first ? await setupFacts() : null;
    this.render();
    showBar({ batches: cellar.batches.map((one) => one.batch), links: [['#/compare', 'Compare batches'], ['/calendar.ics', 'What is due, as a calendar'], ['/v1/openapi.json', 'The API']] });
  }

  // Also as time passes: what was fresh grows old.
  render() {
    const { daemon, batches, vessels, packaged, loose_sensors: loose, system_alerts: system } = this.cellar;
    const places = batches.map((place) => conclude(place, vessels)).sort((a, b) => a.rank - b.rank);
    const taken = new Set(batches.map(({ batch }) => batch.vessel));
    const empty = vessels.filter((vessel) => !taken.has(vessel.name));
    if (!this.place.querySelector('.cellar')) this.place.replaceChildren(h('div', { class: 'cellar' }));
    replaceContent(this.place.firstElementChild,
      h('h1', { class: 'hidden-text' }, 'The cellar'),
      brokerNotice(daemon),
      databaseNotice(daemon),
      openAlerts(system).map((alert) => alertBox(alert)),
      batches.length === 0 && (this.setup ? firstUse(this.cellar, this.setup) : nothingFerments()),
      h('div', { class: 'cards' }, places.filter((one) => !one.well).map(card)),
      h('div', { class: 'lines' }, places.filter((one) => one.well).map(line), empty.map(emptyVessel)),
      packaged.length > 0 && h('section', { class: 'past' },
        h('h2', null, 'Packaged'),
        h('ul', null, packaged.map((batch) => h('li', null,
          h('a', { href: `#/batch/${batch.id}` }, bdi(batch.name)), h('span', null, ` ${show.day(show.seconds(batch.packaged))}`))))),
      loose.length > 0 && h('p', { class: 'hint' }, 'Heard, but in no vessel: ', loose.slice(0, 20).map((s, i) => [i > 0 && ', ', bdi(s.sensor)]), loose.length > 20 && ' and more', '.'));
  }
}

function nothingFerments() {
  return h('section', { class: 'card' }, h('h2', null, 'Nothing is fermenting'),
    h('p', null, 'A batch begins when it is pitched.'));
}

function brokerNotice(daemon) {
  if (daemon.broker_connected) return null;
  return h('p', { class: 'alert warning' }, 'The broker cannot be reached, so no readings arrive.',
    daemon.last_message ? [' The last came ', since(daemon.last_message), '.'] : null);
}

function databaseNotice(daemon) {
  if (!daemon.database_trouble) return null;
  return h('p', { class: 'alert grave' }, `Trouble with the database: ${daemon.database_trouble}.`);
}

function head(batch, ...more) {
  return [h('p', { class: 'vessel' }, bdi(batch.vessel), !batch.unreadable && h('span', null, `day ${show.dayOf(batch)}`)),
    h('h2', null, h('a', { href: `#/batch/${batch.id}`, 'data-key': `batch-${batch.id}` }, bdi(batch.name)), ...more)];
}

function card({ batch, alerts, sensors, fresh, next, recent, set_point: setPoint, trouble }) {
  if (batch.unreadable) {
    return h('section', { class: 'card', 'aria-label': `${batch.vessel}: ${batch.name}` }, head(batch),
      h('p', { class: 'alert warning' }, 'Not watched: its description cannot be read. The daemon’s log says what to do.'));
  }
  const { view } = batch;
  return h('section', { class: 'card', 'aria-label': `${batch.vessel}: ${batch.name}` },
    head(batch),
    h('div', { class: 'stage-row' }, stageLine(view), spark(recent, fresh.gravity.stale)),
    alertBoxes(alerts, batch.id, batch.name, batch.vessel),
    nextBox(next, alerts),
    numbers(view, fresh, recent?.temperature),
    way(batch, fresh),
    setPointBox(setPoint, batch),
    trouble && h('p', { class: 'alert warning' }, `A part of it cannot be shown: ${trouble}.`),
    sensorLine(batch, sensors));
}

// All is well: one line.
function line({ batch, next, recent, set_point: setPoint }) {
  const { view } = batch;
  return h('section', { class: 'line', 'aria-label': `${batch.vessel}: ${batch.name}` },
    h('div', { class: 'line-name' }, head(batch)),
    h('div', { class: 'line-next' }, stageLine(view), h('p', { class: 'hint' }, next.what, next.when && ` ${next.when}`),
      setPoint?.asked && h('p', { class: 'hint' }, `The thermostat is asked for ${show.temperature(setPoint.asked.temperature_celsius)}.`)),
    h('p', { class: 'line-number gravity' }, view.gravity_sg ? [h('span', { class: 'number' }, show.gravity(view.gravity_sg.value)),
      view.rate_points_per_day !== undefined && arrow(view.rate_points_per_day, 0.5),
      h('small', null, ` ${show.gravityDoubt(view.gravity_sg)}`)] : 'no reading yet'),
    h('p', { class: 'line-number temperature' }, view.temperature_celsius === undefined ? '' : h('span', { class: 'number' }, show.temperature(view.temperature_celsius))),
    spark(recent, false));
}

const kWords = { gravity: ['gravity', (v) => show.gravity(v)], beer_temperature: ['beer', (v) => show.temperature(v)],
  ambient_temperature: ['ambient', (v) => show.temperature(v)], inclination: ['inclination', (v) => `${v.toFixed(1)}°`], battery: ['battery', (v) => `${v.toFixed(2)} V`] };

function emptyVessel(vessel) {
  const values = vessel.sensors.flatMap((sensor) => sensor.newest.filter((one) => kWords[one.quantity] && one.value !== undefined));
  const newest = values.map((one) => one.time).sort().at(-1);
  return h('section', { class: 'line empty', 'aria-label': `${vessel.name}: empty` },
    h('div', { class: 'line-name' }, h('p', { class: 'vessel' }, bdi(vessel.name)), h('h2', null, 'Empty')),
    h('p', { class: 'hint line-said' }, values.length === 0 ? 'None of its sensors has been heard.'
      : [`Its sensors last said ${values.map(({ quantity, value }) => `${kWords[quantity][0]} ${kWords[quantity][1](value)}`).join(', ')}; heard `, since(newest), '.']),
    h('div', { class: 'row' }, vesselButtons(vessel)));
}
