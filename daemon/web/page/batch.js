// One batch: what to do, its curves, and the story behind them.
import { bdi, h, named, replaceContent } from './dom.js';
import { ask, askAll } from './session.js';
import * as show from './show.js';
import { chartLibrary } from './axes.js';
import { lines } from './fields.js';
import { showBar } from './bar.js';
import { BatchCharts, inWords } from './chart.js';
import { alertBoxes, nextBox, numbers, sensorLine, setPointBox, stageLine, way } from './parts.js';
import { batchPath } from './sheet.js';
import { conclude } from './todo.js';

export class BatchPage {
  name = 'batch';

  // `range`: the window that the address asks for, [from, to] in seconds. onRange(range): it was moved.
  constructor(place, id, { range, onRange }) {
    this.place = place;
    // Only by its number: the name of another batch or vessel may look the same.
    this.path = batchPath(id);
    this.range = range;
    this.onRange = onRange;
  }

  leave() { this.charts?.destroy(); }

  // The curve, before it is known what the batch is called.
  early() {
    // A point for each pixel is enough, and no more than is drawn.
    const points = Math.min(Math.max(Math.round(this.place.clientWidth), 300), 1200);
    let path = `${this.path}/series?points=${points}`;
    if (this.range) path += this.range.map((time, i) => `&${i ? 'to' : 'from'}=${encodeURIComponent(new Date(time * 1000).toISOString())}`).join('');
    return ask(path);
  }

  async refresh(cellar, series) {
    series.catch(() => {});
    const found = cellar.batches.find((one) => this.path === batchPath(one.batch.id));
    const batch = found?.batch ?? await ask(this.path).catch((error) => {
      if (error.status !== 404) throw error;
      this.place.replaceChildren(h('h1', null, 'No such batch'), h('p', null, h('a', { href: '#/' }, 'Back to the cellar')));
    });
    if (!batch) { this.title = 'No such batch'; showBar(null); return; }
    this.batch = batch;
    this.title = batch.name;
    this.found = conclude(found ?? { batch, alerts: [], set_point: null }, cellar.vessels);
    showBar({ batches: [batch], setPoint: found?.set_point, links: downloads(this.path) });
    if (batch.unreadable) {
      this.place.replaceChildren(h('h1', null, bdi(batch.name)), h('p', { class: 'alert warning' },
        'Not watched: its description cannot be read. The daemon’s log says what to do.'));
      return;
    }
    if (!this.charts) this.build();
    this.render();
    // The charts first; the text below them may come later, and a part that fails hides no other.
    const rest = Promise.all([
      askAll(`${this.path}/alerts`, 'alerts'), ask(`${this.path}/explanation`), askAll(`${this.path}/notes`, 'notes'),
      batch.packaged ? null : ask(`${this.path}/forecast`),
      batch.packaged ? ask(`${this.path}/fills`) : null,
    ].map((part) => Promise.resolve(part).then((value) => ({ value }), (error) => {
      if (!(error.status >= 400)) throw error;
      return { trouble: error.message };
    })));
    rest.catch(() => {});
    [this.series] = await Promise.all([series, chartLibrary()]);
    this.draw();
    if (!this.range || !this.whole) this.whole = this.series;
    this.render();
    replaceContent(this.words, h('p', null, inWords(this.whole, batch, this.ahead).join(' '), beyondText(this.charts.beyond)), table(this.whole));
    const [alerts, explained, notes, outlook, fills] = await rest;
    this.outlook = outlook;
    this.fills = fills;
    this.render();
    replaceContent(this.story, this.storyOf(batch, alerts, explained, notes));
  }

  build() {
    this.head = h('div', { class: 'batch-head' });
    const chart = h('div', { class: 'chart' });
    this.beside = h('div', { class: 'batch-beside' });
    this.words = h('div', { class: 'chart-words' });
    this.story = h('div', { class: 'story' });
    this.place.replaceChildren(h('div', { class: 'batch' }, this.head,
      h('section', { class: 'card batch-chart', 'aria-labelledby': 'curves' }, h('h2', { id: 'curves', class: 'hidden-text' }, 'Curves and forecast'), chart, this.words),
      this.beside), this.story);
    this.charts = new BatchCharts(chart, this.range, (from, to) => {
      this.range = from === undefined ? null : [from, to];
      this.onRange(this.range);
      this.early().then((series) => { this.series = series; this.draw(); }).catch(() => {});
    });
  }

  // Something can be said about what comes.
  get ahead() { return !this.batch.packaged && !this.found.fresh.gravity.stale; }

  draw() { this.charts.update(this.series, this.batch.spec, show.now(), this.ahead); }

  render() {
    if (!this.head || this.batch.unreadable) return;
    const { batch } = this;
    const { view } = batch;
    const { alerts, fresh, next, sensors, set_point: setPoint, trouble } = this.found;
    const ended = batch.packaged ? `packaged ${show.day(show.seconds(batch.packaged))}` : `day ${show.dayOf(batch)}`;
    const [alert, otherAlerts] = alertBoxes(alerts, batch.id, batch.name, batch.vessel);
    replaceContent(this.head,
      h('p', { class: 'vessel' }, h('span', null, h('a', { href: '#/', class: 'back', 'aria-label': 'Back to the cellar' }, '‹ '), bdi(batch.vessel)), h('span', null, ended)),
      h('h1', null, bdi(batch.name)),
      h('div', { class: 'stage-row' }, stageLine(view)),
      !batch.packaged && [alert, nextBox(next, alerts)],
      numbers(view, fresh, this.whole && lastDay(this.whole.temperature)));
    replaceContent(this.beside, way(batch, fresh),
      !batch.packaged && [otherAlerts, setPointBox(setPoint, batch), sensorLine(batch, sensors)],
      trouble && h('p', { class: 'alert warning' }, `A part of it cannot be shown: ${trouble}.`),
      this.outlook?.trouble && failed(this.outlook),
      this.outlook?.value && h('section', { class: 'card' }, h('h2', null, 'Forecast'),
        fresh.gravity.stale ? h('p', null, 'It waits for a new gravity.')
          : h('ul', { class: 'plain' }, this.outlook.value.lines.map((line) => h('li', null, named(line, batch.name, batch.vessel))))),
      this.fills?.trouble && failed(this.fills),
      this.fills?.value?.fills.length > 0 && h('section', { class: 'card' }, h('h2', null, 'Bottles and kegs'), lines(this.fills.value.lines)),
      h('section', { class: 'card' }, h('h2', null, 'The plan'), planOf(batch)));
  }

  storyOf(batch, alerts, explained, notes) {
    const names = [batch.name, batch.vessel];
    const entries = [
      ...(alerts.value ?? []).map((alert) => ({ time: show.seconds(alert.time), what: alert.state === 'raised' ? 'alert' : 'over', text: alert.text })),
      ...(notes.value ?? []).map((note) => ({ time: show.seconds(note.time), what: 'note', text: note.text })),
      ...(batch.spec.additions ?? []).map((one) => ({ time: show.seconds(one.time), what: 'addition', text: `Added: ${show.addition(one)}.` })),
      { time: show.seconds(batch.spec.pitched), what: 'pitched', text: pitchedText(batch.spec) },
      ...(batch.packaged ? [{ time: show.seconds(batch.packaged), what: 'packaged', text: 'It left the vessel.' }] : []),
    ].sort((a, b) => b.time - a.time);
    return [
      h('section', { class: 'card' }, h('h2', null, 'Why'), failed(explained),
        explained.value?.paragraphs.filter((p) => p.heading !== 'Alerts sent').map((p, i) => h('details', { 'data-key': `why-${i}`, open: i === 0 },
          h('summary', { 'data-key': `why-sum-${i}` }, p.heading), h('ul', { class: 'plain' }, p.sentences.map((text) => h('li', null, named(text, ...names))))))),
      h('section', { class: 'card' }, h('h2', null, 'What happened'), failed(alerts), failed(notes),
        h('ol', { class: 'log' }, entries.map((line) => h('li', { class: `is-${line.what}` },
          h('p', { class: 'label' }, h('time', { datetime: new Date(line.time * 1000).toISOString() }, show.moment(line.time)), ` · ${line.what}`),
          h('p', { class: 'wrap', dir: line.what === 'note' ? 'auto' : null }, named(line.text, ...names)))))),
    ];
  }
}

const failed = (part) => part.trouble && h('p', { class: 'alert warning' }, `This cannot be shown: ${part.trouble}.`);

const downloads = (path) => [['report', 'The report as one page'], ['readings.csv', 'Every reading (CSV)'], ['curve.csv', 'The curve (CSV)'],
  ['alerts.csv', 'Its alerts (CSV)'], ['notes.csv', 'Its notes (CSV)']].map(([file, text]) => [`${path}/${file}`, text, { download: file.endsWith('.csv') }]);

const beyondText = (count) => count > 0 && ` ${count === 1 ? 'One reading lies' : `${count} readings lie`} beyond the picture: the signs at its edge.`;

function lastDay(temperature) {
  const from = (temperature.time.at(-1) ?? 0) - 86400;
  const keep = temperature.time.map((time) => time >= from);
  return { time: temperature.time.filter((_, i) => keep[i]), value: temperature.value.filter((_, i) => keep[i]) };
}

function pitchedText(spec) {
  const parts = [];
  if (spec.volume_l) parts.push(show.volume(spec.volume_l));
  if (spec.original_gravity_sg) parts.push(`at ${show.gravity(spec.original_gravity_sg)}`);
  if (spec.yeast.name) parts.push(`with ${spec.yeast.name}`);
  return parts.length ? `Pitched: ${parts.join(' ')}.` : 'Pitched.';
}

function untilText(until) {
  if (until === 'final-gravity') return 'until final gravity is stable';
  if (until.progress !== undefined) return `until ${show.percent(until.progress)} of the expected fall`;
  if (until.attenuation !== undefined) return `until ${show.percent(until.attenuation)} attenuation`;
  if (until.days !== undefined) return `for ${until.days} ${until.days === 1 ? 'day' : 'days'}`;
  return `until ${show.gravity(until.gravity_sg)}`;
}

function planOf(batch) {
  const { holds_over: over } = batch.view;
  if (batch.spec.plan.length === 0) return h('p', null, 'It has none.');
  return h('ol', { class: 'plan' }, batch.spec.plan.map((hold, i) => {
    const state = i < over ? 'done' : i === over && !batch.packaged ? 'now' : batch.packaged ? 'left out' : 'later';
    return h('li', { class: `is-${state}` }, h('strong', null, show.temperature(hold.hold_celsius)), ` ${untilText(hold.until)}`, h('span', { class: 'label' }, ` · ${state}`));
  }));
}

// A row for each day: its last values.
function table(series) {
  const days = new Map();
  series.time.forEach((time, i) => { if (series.gravity[i] !== null) days.set(show.day(time), i); });
  const warmAt = (time) => {
    let best = null;
    series.temperature.time.forEach((t, i) => { if (t <= time + 1 && series.temperature.value[i] !== null) best = series.temperature.value[i]; });
    return best;
  };
  return h('details', { 'data-key': 'table' }, h('summary', { 'data-key': 'table-sum' }, 'The numbers, day by day'),
    h('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'The numbers, day by day' }, h('table', null,
      h('thead', null, h('tr', null, ['Day', 'Gravity', '8 in 10 between', 'Beer'].map((text) => h('th', { scope: 'col' }, text)))),
      h('tbody', null, [...days].map(([day, i]) => {
        const warm = warmAt(series.time[i]);
        return h('tr', null, h('th', { scope: 'row' }, day), h('td', null, show.gravity(series.gravity[i], 4)),
          h('td', null, `${show.gravity(series.low[i], 4)} and ${show.gravity(series.high[i], 4)}`),
          h('td', null, warm === null ? '' : show.temperature(warm)));
      })))));
}
