// Parts that the cellar and the page of a batch have in common.
import { setPoint, setPointLines } from './act_set_point.js';
import { h, named, svg } from './dom.js';
import { icon } from './icons.js';
import { acknowledge, snooze } from './session.js';
import * as show from './show.js';
import { firstSentence, level, sensorTroubles, weight } from './todo.js';

export const since = (time) => h('span', { 'data-since': show.seconds(time) }, show.ago(time));

export function alertBox(alert, ...names) {
  const [first, rest] = firstSentence(alert.text);
  const name = { grave: 'Urgent', warning: 'Take care', notice: 'To do' }[level(alert)];
  return h('section', { class: `alert ${level(alert)}`, 'aria-label': `${name}: ${first}` },
    h('p', { class: 'alert-head' }, h('strong', null, name), h('span', null, show.moment(show.seconds(alert.time)))),
    h('p', { class: 'alert-text' }, named(first, ...names)),
    h('div', { class: 'row' },
      !show.settings().read_only && [
        h('button', { type: 'button', class: 'main', 'data-key': `ack-${alert.id}`, onclick: () => acknowledge(alert) },
          alert.kind === 'step-due' ? 'Done it' : 'Seen'),
        h('button', { type: 'button', 'aria-label': 'Remind me in 12 hours', 'data-key': `snooze-${alert.id}`, onclick: () => snooze(alert, 12) }, 'In 12 hours')],
      rest && h('details', { class: 'more', 'data-key': `more-${alert.id}` },
        h('summary', { 'data-key': `sum-${alert.id}` }, 'More'), h('p', null, named(rest, ...names)))));
}

// The most severe in full, and the others folded.
export function alertBoxes(alerts, id, ...names) {
  const [first, ...others] = [...alerts].sort((a, b) => weight(a) - weight(b));
  return [first && alertBox(first, ...names), others.length > 0 && h('details', { 'data-key': `others-${id}` },
    h('summary', { 'data-key': `others-sum-${id}` }, others.length === 1 ? 'One more is open' : `${others.length} more are open`),
    h('div', { class: 'stack' }, others.map((alert) => alertBox(alert, ...names))))];
}

// The stage, in the same colour everywhere.
export function stageLine(view, tag = 'p') {
  return h(tag, { class: `stage is-${view.stage}` }, show.stage(view));
}

const asOf = (time) => h('span', { class: 'as-of' }, `as of ${show.shortMoment(time)}`);

// For those who do not see the arrow.
const unseen = (text) => h('span', { class: 'hidden-text' }, text);

// One figure: grey with its time when it is old, and then without a trend.
function figure(label, kind, number, doubt, fresh, trend) {
  const stale = fresh?.stale;
  return h('div', { class: stale ? 'figure stale' : 'figure' },
    h('p', { class: 'label' }, label),
    number === null ? h('p', { class: 'none' }, 'no reading yet')
      : [h('p', { class: `big ${kind}` }, h('span', { class: 'number' }, number), doubt && h('small', null, ` ${doubt}`)),
        h('p', { class: 'trend' }, stale ? asOf(fresh.time) : trend)]);
}

export function numbers(view, fresh, temperature) {
  const { gravity_sg: gravity, temperature_celsius: celsius, rate_points_per_day: rate } = view;
  return h('div', { class: 'numbers' },
    figure('Gravity', 'gravity', gravity ? show.gravity(gravity.value) : null, gravity && show.gravityDoubt(gravity), fresh.gravity,
      rate !== undefined && [arrow(rate, 0.5), Math.abs(rate) < 0.5 ? show.fallWord(rate) : [unseen(`${show.fallWord(rate)} `), show.fallAmount(rate)]]),
    figure('Temperature', 'temperature', celsius === undefined ? null : show.temperature(celsius), null, fresh.temperature, temperatureTrend(temperature)));
}

export function arrow(rate, threshold) {
  return icon(Math.abs(rate) < threshold ? 'level' : rate < 0 ? 'down' : 'up', 'arrow');
}

// The trend of the last six hours, and the range of the last day.
function temperatureTrend(temperature) {
  const values = (temperature?.value ?? []).filter((value) => value !== null);
  if (values.length <= 3) return null;
  const last = temperature.time.at(-1);
  const recent = temperature.value.filter((value, i) => value !== null && temperature.time[i] > last - 6 * 3600);
  const half = Math.floor(recent.length / 2);
  const mean = (list) => list.reduce((sum, value) => sum + value, 0) / list.length;
  const change = half ? mean(recent.slice(half)) - mean(recent.slice(0, half)) : 0;
  const word = Math.abs(change) < 0.25 ? 'steady' : change > 0 ? 'rising' : 'falling';
  return [arrow(change, 0.25), unseen(`${word}, `), `${show.temperatureRange(Math.min(...values), Math.max(...values), '–')}, 24\u00a0h`];
}

// Where gravity stands on its way from the original to the expected final one.
export function way({ view, spec }, fresh) {
  const og = view.original_gravity_sg;
  if (!og || !view.gravity_sg) return null;
  const by = (attenuation) => og - (og - 1) * attenuation;
  const forecast = fresh.gravity.stale ? null : view.forecast.final_gravity_sg;
  // What its yeast is expected to reach, when nothing better is known.
  const fg = forecast ?? { low: by(spec.yeast.attenuation_high), high: by(spec.yeast.attenuation_low) };
  const end = Math.min(fg.low, view.gravity_sg.low);
  const width = Math.max(og - end, 0.001);
  const x = (sg) => Math.min(Math.max((og - sg) / width, 0), 1) * 292 + 4;
  const here = x(view.gravity_sg.value);
  return h('div', { class: fresh.gravity.stale ? 'way stale' : 'way' },
    svg('svg', { viewBox: '0 0 300 22', 'aria-hidden': 'true', focusable: 'false' },
      svg('line', { class: 'way-rest', x1: 4, x2: 296, y1: 11, y2: 11 }),
      svg('rect', { class: 'way-goal', x: x(fg.high), y: 3, width: Math.max(x(fg.low) - x(fg.high), 3), height: 16, rx: 2 }),
      svg('line', { class: 'way-gone', x1: 4, x2: here, y1: 11, y2: 11 }),
      svg('circle', { class: 'way-here', cx: here, cy: 11, r: 7 })),
    h('p', { class: 'ends' },
      h('span', null, show.gravity(og)),
      view.attenuation !== undefined && view.stage !== 'lag' && h('span', null, `${show.percent(view.attenuation)} attenuated`),
      h('span', null, forecast ? `${show.gravity(fg.value)} ${show.gravityDoubt(fg)} expected` : `${show.gravity(fg.low)} to ${show.gravity(fg.high)} by its yeast`)));
}

// Gravity over the last days, without numbers: they stand beside it.
export function spark(recent, stale) {
  const times = recent?.time ?? [];
  if (times.length < 3) return null;
  const low = Math.min(...recent.gravity);
  const room = Math.max(Math.max(...recent.gravity) - low, 0.003);
  const first = times[0];
  const length = Math.max(times.at(-1) - first, 1);
  const points = times.map((time, i) => [2 + ((time - first) / length) * 110, 4 + (1 - (recent.gravity[i] - low) / room) * 32]);
  const [x, y] = points.at(-1);
  return svg('svg', { class: stale ? 'spark stale' : 'spark', viewBox: '0 0 118 40', 'aria-hidden': 'true', focusable: 'false' },
    svg('path', { d: `M${points.map((point) => point.map((one) => one.toFixed(1)).join(' ')).join('L')}` }),
    svg('circle', { cx: x.toFixed(1), cy: y.toFixed(1), r: 3.5 }));
}

// Nothing when an open alert says it already.
export function nextBox(next, alerts) {
  if (alerts.some((alert) => ['step-due', 'stuck'].includes(alert.kind))) return null;
  if (alerts.some((alert) => alert.kind === 'final-gravity-stable') && next.what === 'Package it') return null;
  return h('div', { class: 'next' },
    h('p', { class: 'next-what' }, next.what, next.when && h('span', null, ` ${next.when}`)),
    next.between && h('p', { class: 'hint' }, next.between));
}

// The set point of the vessel's thermostat, with a way to it where it waits for a confirmation.
export function setPointBox(known, batch) {
  if (!known || ['off', 'none', 'ended'].includes(known.state)) return null;
  return h('div', { class: 'next' }, h('p', { class: 'label' }, 'Thermostat'),
    setPointLines(known).map((line) => h('p', { class: 'hint' }, line)),
    known.state === 'awaits-yes' && !show.settings().read_only && h('div', { class: 'row' },
      h('button', { type: 'button', class: 'main', 'data-key': `set-point-${known.id}`, onclick: () => setPoint.open({ batches: [batch] }) },
        `Ask it for ${show.temperature(known.next.temperature_celsius)} …`)));
}

// When its sensors were heard, and what is wrong with them.
export function sensorLine({ view }, sensors) {
  const heard = view.sensors.map((s) => s.last_heard).filter(Boolean).sort();
  const troubled = view.sensors.map((s) => [s.sensor, sensorTroubles(s)]).filter(([, list]) => list.length > 0);
  const old = heard.length > 0 && show.now() - show.seconds(heard.at(-1)) > 3 * 3600;
  const parts = [h('span', { class: `dot ${troubled.length || old ? 'bad' : ''}`, 'aria-hidden': 'true' })];
  if (heard.length === 0) parts.push(sensors.length ? 'Its sensors have not been heard since the pitch.' : 'No sensor has been heard yet.');
  else parts.push('Heard ', since(heard.at(-1)), '. ');
  if (troubled.length > 0) parts.push(...named(troubled.map(([sensor, list]) => `${sensor}: ${list.join(', ')}.`).join(' '), ...troubled.map(([sensor]) => sensor)));
  else if (heard.length > 0 && !old) parts.push(`${['', 'Its sensor is', 'Both sensors are'][heard.length] ?? `All ${heard.length} sensors are`} in order.`);
  return h('p', { class: 'fresh' }, parts);
}
