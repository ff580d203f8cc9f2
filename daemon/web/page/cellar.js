// The cellar at a glance: a card for each vessel.
import { h, replaceContent, svg } from './dom.js';
import { acknowledge, ask, askAll, confirmSetPoint, snooze } from './session.js';
import * as show from './show.js';

const kDay = 86400;

export class CellarPage {
  name = 'cellar';

  constructor(place) { this.place = place; }

  async refresh(status) {
    document.title = 'Cellar · Gylekeeper';
    const open = status.batches;
    // The first of them are those in vessels.
    const [sensors, watcher, all, thermostats, ...perBatch] = await Promise.all([
      ask('/v1/sensors?limit=200'), ask('/v1/alerts?limit=50'), askAll('/v1/batches', 'batches'), ask('/v1/set-points'),
      ...open.map((batch) => Promise.all([
        askAll(`/v1/batches/%23${batch.id}/alerts`, 'alerts'),
        batch.view ? ask(`/v1/batches/%23${batch.id}/series?points=100&from=${dayBefore()}`).catch(keepLost) : null,
      ])),
    ]);
    const cards = open.map((batch, i) => card(batch, openAlerts(perBatch[i][0]), perBatch[i][1], sensors.sensors,
      thermostats.set_points.find((one) => one.id === batch.id)));
    const packaged = all.filter((batch) => batch.packaged).reverse();
    const loose = sensors.sensors.filter((sensor) => !sensor.vessel);
    if (!this.place.querySelector('.cellar')) this.place.replaceChildren(h('div', { class: 'cellar' }));
    replaceContent(this.place.firstElementChild,
      h('h1', { class: 'hidden-text' }, 'The cellar'),
      brokerNotice(status.daemon),
      databaseNotice(status.daemon),
      openAlerts(watcher.alerts).map((alert) => alertBox(alert)),
      open.length === 0 && emptyCellar(),
      h('div', { class: 'cards' }, cards),
      packaged.length > 0 && h('section', { class: 'past' },
        h('h2', null, 'Packaged'),
        h('ul', null, packaged.slice(0, 12).map((batch) => h('li', null,
          h('a', { href: `#/batch/${batch.id}` }, batch.name), h('span', null, ` ${show.day(show.seconds(batch.packaged))}`))))),
      loose.length > 0 && h('p', { class: 'hint' }, `Heard, but in no vessel: ${loose.map((s) => s.sensor).join(', ')}${sensors.next ? ' and more' : ''}.`));
  }
}

const dayBefore = () => encodeURIComponent(new Date((show.now() - kDay) * 1000).toISOString());
function keepLost(error) {
  if (error.status === 0) throw error;
  return null;
}

function emptyCellar() {
  return h('section', { class: 'card' }, h('h2', null, 'Nothing is fermenting'),
    h('p', null, 'A batch begins when it is pitched: ', h('code', null, 'gylekeeper pitch --vessel NAME --batch FILE'), '.'));
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

export const since = (time) => h('span', { 'data-since': show.seconds(time) }, show.ago(time));

// Alerts that are open, not acknowledged and not snoozed.
export function openAlerts(alerts) {
  return alerts.filter((alert) => alert.state === 'raised' && !alert.over && alert.severity !== 'informational'
    && !alert.acknowledged && !(alert.snoozed_until && show.seconds(alert.snoozed_until) > show.now())).reverse();
}

export function alertBox(alert) {
  const [first, rest] = firstSentence(alert.text);
  const grave = ['emergency', 'alert', 'critical', 'error'].includes(alert.severity);
  const level = grave ? 'grave' : alert.severity === 'warning' ? 'warning' : 'notice';
  const name = { grave: 'Urgent', warning: 'Take care', notice: 'To do' }[level];
  return h('section', { class: `alert ${level}`, 'aria-label': `${name}: ${first}` },
    h('p', { class: 'alert-head' }, h('strong', null, name), h('span', null, show.moment(show.seconds(alert.time)))),
    h('p', { class: 'alert-text' }, first),
    h('div', { class: 'row' },
      h('button', { type: 'button', class: 'main', 'data-key': `ack-${alert.id}`, onclick: () => acknowledge(alert) },
        alert.kind === 'step-due' ? 'Done it' : 'Seen'),
      h('button', { type: 'button', 'aria-label': 'Remind me in 12 hours', 'data-key': `snooze-${alert.id}`, onclick: () => snooze(alert, 12) }, 'In 12 hours'),
      rest && h('details', { class: 'more', 'data-key': `more-${alert.id}` },
        h('summary', { 'data-key': `sum-${alert.id}` }, 'More'), h('p', null, rest))));
}

// The newest of the most severe in full; the others folded.
function alertBoxes(alerts, id) {
  const [first, ...others] = [...alerts].sort((a, b) => weight(a) - weight(b));
  if (!first) return null;
  return [alertBox(first), others.length > 0 && h('details', { 'data-key': `others-${id}` },
    h('summary', { 'data-key': `others-sum-${id}` }, others.length === 1 ? 'One more is open' : `${others.length} more are open`),
    h('div', { class: 'stack' }, others.map(alertBox)))];
}

const weight = (alert) => ['emergency', 'alert', 'critical', 'error', 'warning', 'notice'].indexOf(alert.severity);

export function firstSentence(text) {
  const end = text.search(/[.!?] \p{Lu}/u);
  return end < 0 ? [text, ''] : [text.slice(0, end + 1), text.slice(end + 2)];
}

// What to do next, and when: {what, when, between}.
export function nextThing(batch, alerts) {
  const { view, spec } = batch;
  const due = alerts.find((alert) => alert.kind === 'step-due');
  const hold = due ? spec.plan[due.step] : null;
  if (hold) return { what: `Bring it to ${show.temperature(hold.hold_celsius)}`, when: 'now' };
  if (show.isOld(view)) return { what: 'Find out why its hydrometer is silent, or measure a sample', when: 'now', between: `no gravity since ${show.moment(show.seconds(view.known))}` };
  if (view.stage === 'stuck') return { what: 'It stopped early: see what it needs', when: 'now' };
  if (view.final_gravity_since) return { what: 'Package it', when: 'when you like', between: `stable since ${show.moment(show.seconds(view.final_gravity_since))}` };
  const { forecast } = view;
  const following = forecast.step ? spec.plan[forecast.step] : null;
  if (forecast.step_time && following) return timed(`Bring it to ${show.temperature(following.hold_celsius)}`, forecast.step_time, 0);
  if (forecast.final_time) return timed('Stable and ready to package', forecast.final_time, spec.final_gravity.window_hours * 3600);
  if (view.stage === 'lag') return { what: 'Wait for it to start', when: '' };
  return { what: 'Nothing to do', when: '', between: 'too early for a forecast' };
}

function timed(what, interval, later) {
  const value = show.seconds(interval.value) + later;
  const low = show.seconds(interval.low) + later;
  const high = show.seconds(interval.high) + later;
  if (high <= show.now()) return { what, when: 'any time now' };
  return { what, when: `${show.ahead(value)}, ${high - low < 4 * kDay ? show.moment(value) : show.day(value)}`,
    between: `${show.span(low, high)} (8 in 10)` };
}

// Where gravity stands on its way from the original to the expected final one.
export function way({ view, spec }) {
  const og = view.original_gravity_sg;
  if (!og || !view.gravity_sg) return null;
  const by = (attenuation) => og - (og - 1) * attenuation;
  const forecast = view.forecast.final_gravity_sg;
  // What its yeast is expected to reach, when nothing better is known.
  const fg = forecast ?? { low: by(spec.yeast.attenuation_high), high: by(spec.yeast.attenuation_low) };
  const end = Math.min(fg.low, view.gravity_sg.low);
  const width = Math.max(og - end, 0.001);
  const x = (sg) => Math.min(Math.max((og - sg) / width, 0), 1) * 292 + 4;
  const here = x(view.gravity_sg.value);
  return h('div', { class: 'way' },
    view.attenuation !== undefined && view.stage !== 'lag' && h('p', { class: 'label' }, `${show.percent(view.attenuation)} attenuated`),
    svg('svg', { viewBox: '0 0 300 22', 'aria-hidden': 'true', focusable: 'false' },
      svg('line', { class: 'way-rest', x1: 4, x2: 296, y1: 11, y2: 11 }),
      svg('rect', { class: 'way-goal', x: x(fg.high), y: 3, width: Math.max(x(fg.low) - x(fg.high), 3), height: 16, rx: 2 }),
      svg('line', { class: 'way-gone', x1: 4, x2: here, y1: 11, y2: 11 }),
      svg('circle', { class: 'way-here', cx: here, cy: 11, r: 7 })),
    h('p', { class: 'ends' },
      h('span', null, show.gravity(og)),
      h('span', null, forecast ? `${show.gravity(fg.value)} ${show.gravityDoubt(fg)} expected` : `${show.gravity(fg.low)} to ${show.gravity(fg.high)} by its yeast`)));
}

export function numbers(view, series) {
  const values = (series?.temperature.value ?? []).filter((value) => value !== null);
  return h('div', { class: 'numbers' },
    h('div', null, h('p', { class: 'label' }, 'Gravity'),
      view.gravity_sg
        ? [h('p', { class: 'big gravity' }, show.gravity(view.gravity_sg.value), h('small', null, ` ${show.gravityDoubt(view.gravity_sg)}`)),
          view.rate_points_per_day !== undefined && !show.isOld(view) && h('p', { class: 'trend' }, arrow(view.rate_points_per_day, 0.5), show.fall(view.rate_points_per_day))]
        : h('p', { class: 'big' }, 'no reading yet')),
    h('div', null, h('p', { class: 'label' }, 'Temperature'),
      view.temperature_celsius !== undefined
        ? [h('p', { class: 'big temperature' }, show.temperature(view.temperature_celsius)),
          values.length > 3 && h('p', { class: 'trend' }, ...temperatureTrend(series.temperature, values))]
        : h('p', { class: 'big' }, 'no reading yet')));
}

function arrow(rate, threshold) {
  const shape = Math.abs(rate) < threshold ? 'M2 8h12M10 4l4 4-4 4' : rate < 0 ? 'M8 2v12M4 10l4 4 4-4' : 'M8 14V2M4 6l4-4 4 4';
  return svg('svg', { class: 'arrow', viewBox: '0 0 16 16', 'aria-hidden': 'true', focusable: 'false' }, svg('path', { d: shape }));
}

// The trend of the last six hours, and the range of the last day.
function temperatureTrend(temperature, values) {
  const last = temperature.time.at(-1);
  const recent = temperature.value.filter((value, i) => value !== null && temperature.time[i] > last - 6 * 3600);
  const half = Math.floor(recent.length / 2);
  const mean = (list) => list.reduce((sum, value) => sum + value, 0) / list.length;
  const change = half ? mean(recent.slice(half)) - mean(recent.slice(0, half)) : 0;
  const word = Math.abs(change) < 0.25 ? 'steady' : change > 0 ? 'rising' : 'falling';
  return [arrow(change, 0.25), `${word}, ${show.temperatureRange(Math.min(...values), Math.max(...values))} in 24 h`];
}

function card(batch, alerts, series, sensors, setPoint) {
  const title = h('h2', null, h('a', { href: `#/batch/${batch.id}`, 'data-key': `batch-${batch.id}` }, batch.name));
  if (batch.unreadable) {
    return h('section', { class: 'card' }, h('p', { class: 'vessel' }, batch.vessel), title,
      h('p', { class: 'alert warning' }, 'Not watched: its description cannot be read. The daemon’s log says what to do.'));
  }
  const { view } = batch;
  const next = nextThing(batch, alerts);
  return h('section', { class: `card is-${view.stage}`, 'aria-label': `${batch.vessel}: ${batch.name}` },
    h('p', { class: 'vessel' }, batch.vessel, h('span', null, `day ${show.dayOf(batch)}`)),
    title,
    h('p', { class: 'stage' }, show.stage(view)),
    numbers(view, series),
    way(batch),
    alertBoxes(alerts, batch.id),
    setPointBox(setPoint),
    nextBox(next, alerts),
    h('p', { class: 'fresh' }, ...freshness(batch, sensors)));
}

// The set point of the vessel's thermostat, with a button where it waits for a confirmation.
export function setPointBox(setPoint) {
  if (!setPoint || ['off', 'none', 'ended'].includes(setPoint.state)) return null;
  const lines = setPoint.lines.slice(1).map((line) => line.trim())
    .filter((line) => !line.startsWith('gylekeeper ') && line !== setPoint.caution);
  return h('div', { class: 'next' }, h('p', { class: 'label' }, 'Thermostat'),
    lines.map((line) => h('p', { class: 'hint' }, line)),
    setPoint.caution && h('p', { class: 'hint caution' }, setPoint.caution),
    setPoint.state === 'awaits-yes' && h('div', { class: 'row' },
      h('button', { type: 'button', class: 'main', 'data-key': `set-point-${setPoint.id}`, onclick: () => confirmSetPoint(setPoint) },
        `Ask it for ${show.temperature(setPoint.next.temperature_celsius)}`)));
}

// Nothing when an open alert says it already.
export function nextBox(next, alerts) {
  if (alerts.some((alert) => ['step-due', 'stuck'].includes(alert.kind))) return null;
  if (alerts.some((alert) => alert.kind === 'final-gravity-stable') && next.what === 'Package it') return null;
  return h('div', { class: 'next' }, h('p', { class: 'label' }, 'Next'),
    h('p', { class: 'next-what' }, next.what, next.when && h('span', null, ` ${next.when}`)),
    next.between && h('p', { class: 'hint' }, next.between));
}

export function sensorTroubles(health) {
  const list = [];
  if (health.silent) list.push('silent');
  if (health.frozen) list.push('shows the same value all the time');
  if (health.implausible) list.push('reports what cannot be true');
  if (health.battery_low) list.push('battery low');
  if (health.clock_off_s) list.push('clock wrong');
  return list;
}

export function freshness(batch, sensors) {
  const { view } = batch;
  const heard = view.sensors.map((s) => s.last_heard).filter(Boolean).sort();
  const troubled = view.sensors.map((s) => [s.sensor, sensorTroubles(s)]).filter(([, list]) => list.length > 0);
  const old = heard.length > 0 && show.now() - show.seconds(heard.at(-1)) > 3 * 3600;
  const parts = [h('span', { class: `dot ${troubled.length || old ? 'bad' : ''}`, 'aria-hidden': 'true' })];
  const all = sensors.filter((sensor) => sensor.vessel === batch.vessel).length;
  if (heard.length === 0) parts.push(all ? 'Its sensors have not been heard since the pitch.' : 'No sensor has been heard yet.');
  else parts.push('Heard ', since(heard.at(-1)), '. ');
  if (troubled.length > 0) parts.push(troubled.map(([sensor, list]) => `${sensor}: ${list.join(', ')}.`).join(' '));
  else if (old) parts.push('What is shown here is as old.');
  else if (heard.length > 0) parts.push(`${['', 'Its sensor is', 'Both sensors are'][heard.length] ?? `All ${heard.length} sensors are`} in order.`);
  return parts;
}
