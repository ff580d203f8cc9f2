// One batch: its charts, its history, and the forms to enter something.
import { h, replaceContent } from './dom.js';
import { act, ask, askAll } from './session.js';
import * as show from './show.js';
import { BatchCharts, inWords } from './chart.js';
import { alertBox, freshness, nextBox, nextThing, numbers, setPointBox, openAlerts, way } from './cellar.js';

export class BatchPage {
  name = 'batch';

  constructor(place, id) {
    this.place = place;
    // Only by its number: the name of another batch or vessel may look the same.
    this.path = `/v1/batches/${encodeURIComponent(`#${id}`)}`;
  }

  leave() { this.charts?.destroy(); }

  seriesPath() {
    // A point for each pixel is enough, and no more than is drawn.
    const points = Math.min(Math.max(Math.round(this.place.clientWidth), 300), 1200);
    let path = `${this.path}/series?points=${points}`;
    if (this.range) path += this.range.map((time, i) => `&${i ? 'to' : 'from'}=${encodeURIComponent(new Date(time * 1000).toISOString())}`).join('');
    return path;
  }

  async refresh() {
    const batch = await ask(this.path).catch((error) => {
      if (error.status !== 404) throw error;
      this.place.replaceChildren(h('h1', null, 'No such batch'), h('p', null, h('a', { href: '#/' }, 'Back to the cellar')));
    });
    if (!batch) return;
    if (batch.unreadable) {
      this.place.replaceChildren(h('h1', null, batch.name), h('p', { class: 'alert warning' },
        'Not watched: its description cannot be read. The daemon’s log says what to do.'));
      return;
    }
    // The charts first; the text below them may come later.
    const rest = Promise.all([
      askAll(`${this.path}/alerts`, 'alerts'), ask(`${this.path}/explanation`), askAll(`${this.path}/notes`, 'notes'),
      ask('/v1/sensors?limit=200'), batch.packaged ? null : ask(`${this.path}/forecast`).catch(() => null),
      batch.packaged ? null : ask(`${this.path}/set-point`),
    ]);
    rest.catch(() => {});
    const series = await ask(this.seriesPath());
    this.batch = batch;
    if (!this.charts) this.build(batch);
    this.showCaution();
    document.title = `${batch.name} · Gylekeeper`;
    this.charts.update(series, batch.spec);
    if (!this.range) this.series = series;
    replaceContent(this.words, h('p', null, inWords(this.series ?? series, batch).join(' ')), table(this.series ?? series));
    replaceContent(this.head, this.heading(batch, null, null, null));
    const [reported, explained, notes, sensors, outlook, setPoint] = await rest;
    const alerts = openAlerts(reported);
    replaceContent(this.head, this.heading(batch, alerts, sensors.sensors, setPoint));
    replaceContent(this.story, this.storyOf(batch, explained, reported, notes, outlook));
  }

  build(batch) {
    this.head = h('div', { class: 'batch-head' });
    const chart = h('div', { class: 'chart' });
    this.words = h('div', { class: 'chart-words' });
    this.story = h('div', { class: 'story' });
    this.place.replaceChildren(this.head,
      h('section', { class: 'card wide', 'aria-labelledby': 'curves' },
        h('h2', { id: 'curves' }, 'Curves and forecast'),
        legend(), chart, this.words),
      batch.packaged ? h('div', { class: 'acts' }, this.noteForm()) : this.acts(),
      this.story);
    this.charts = new BatchCharts(chart, (from, to) => {
      this.range = from === undefined ? null : [from, to];
      ask(this.seriesPath()).then((series) => this.charts.update(series, this.batch.spec)).catch(() => {});
    });
  }

  heading(batch, alerts, sensors, setPoint) {
    const { view } = batch;
    const ended = batch.packaged ? `packaged ${show.day(show.seconds(batch.packaged))}` : `day ${show.dayOf(batch)}`;
    return [
      h('div', null,
        h('p', { class: 'vessel' }, batch.vessel, h('span', null, ended)),
        h('h1', null, batch.name),
        h('p', { class: 'stage' }, show.stage(view)),
        numbers(view, this.series && { temperature: lastDay(this.series.temperature) }),
        way(batch)),
      alerts && !batch.packaged && h('div', null,
        alerts.map(alertBox),
        setPointBox(setPoint),
        nextBox(nextThing(batch, alerts), alerts),
        h('p', { class: 'fresh' }, ...freshness(batch, sensors))),
    ];
  }

  storyOf(batch, explained, alerts, notes, outlook) {
    const lines = [
      ...alerts.map((alert) => ({ time: show.seconds(alert.time), what: alert.state === 'raised' ? 'alert' : 'over', text: alert.text })),
      ...notes.map((note) => ({ time: show.seconds(note.time), what: 'note', text: note.text })),
      { time: show.seconds(batch.spec.pitched), what: 'pitched', text: pitchedText(batch.spec) },
      ...(batch.packaged ? [{ time: show.seconds(batch.packaged), what: 'packaged', text: 'It left the vessel.' }] : []),
    ].sort((a, b) => b.time - a.time);
    return [
      h('section', { class: 'card' }, h('h2', null, 'The plan'), planOf(batch)),
      outlook && h('section', { class: 'card' }, h('h2', null, 'Forecast'), h('ul', { class: 'plain' }, outlook.lines.map((line) => h('li', null, line)))),
      h('section', { class: 'card' }, h('h2', null, 'Why'),
        explained.paragraphs.filter((p) => p.heading !== 'Alerts sent').map((p, i) => h('details', { 'data-key': `why-${i}`, open: i === 0 },
          h('summary', { 'data-key': `why-sum-${i}` }, p.heading), h('ul', { class: 'plain' }, p.sentences.map((text) => h('li', null, text)))))),
      h('section', { class: 'card' }, h('h2', null, 'Downloads'), h('ul', { class: 'plain' },
        [['report', 'The report as one page'], ['readings.csv', 'Every reading (CSV)'], ['curve.csv', 'The curve (CSV)'], ['alerts.csv', 'Its alerts (CSV)']]
          .map(([file, text]) => h('li', null, h('a', { href: `${this.path}/${file}`, download: file.endsWith('.csv') }, text))))),
      h('section', { class: 'card' }, h('h2', null, 'What happened'),
        h('ol', { class: 'log' }, lines.map((line) => h('li', { class: `is-${line.what}` },
          h('p', { class: 'label' }, h('time', { datetime: new Date(line.time * 1000).toISOString() }, show.moment(line.time)), ` · ${line.what}`),
          h('p', { class: 'wrap' }, line.text))))),
    ];
  }

  acts() {
    return h('div', { class: 'acts' }, this.sampleForm(), this.noteForm(), this.packageForm());
  }

  sampleForm() {
    const plato = show.gravityUnit() === '°P';
    return actForm('sample', 'Add a sample', 'A gravity you measured yourself corrects the hydrometer.', [
      field('gravity', plato ? 'Gravity in °P' : 'Gravity', { inputmode: 'decimal', required: true, placeholder: plato ? '3.1' : '1.012', autocomplete: 'off' }),
      field('warmth', `Its temperature in ${show.temperatureUnit()}, if you did not correct for it`, { inputmode: 'decimal', autocomplete: 'off' }),
    ], 'Add the sample', async (form) => {
      const number = (name) => form.get(name).trim().replace(',', '.');
      let query = `gravity=${encodeURIComponent(number('gravity') + (plato ? ' P' : ''))}`;
      if (number('warmth')) query += `&temperature=${encodeURIComponent(`${number('warmth')} ${show.temperatureUnit() === '°F' ? 'F' : 'Cel'}`)}`;
      return act(`${this.path}/samples?${query}`);
    });
  }

  noteForm() {
    return actForm('note', 'Write a note', 'For you, later: what you smelled, saw or did.', [
      field('text', 'Note', { required: true, maxlength: 2000, rows: 3 }, 'textarea'),
    ], 'Keep the note', (form) => act(`${this.path}/notes`, { body: form.get('text').trim(), done: 'The note is kept.' }));
  }

  // What packaging it now would risk; it changes while the page is open.
  showCaution() {
    if (!this.caution) return;
    this.caution.hidden = !this.batch?.packaging_caution;
    this.caution.textContent = this.batch?.packaging_caution ?? '';
  }

  packageForm() {
    this.caution = h('p', { class: 'alert warning', role: 'note' });
    this.showCaution();
    return actForm('package', 'Package it', 'It leaves the vessel now, and is no longer watched.', [
      this.caution,
      h('p', { class: 'check' }, h('input', { type: 'checkbox', id: 'package-sure', name: 'sure', required: true }),
        h('label', { for: 'package-sure' }, 'Yes, it is in bottles or in a keg')),
    ], 'End the batch', async () => {
      const answer = await act(`${this.path}/package`, {
        done: ({ caution }) => (caution ? 'Packaged, before it was found stable: take care.' : 'Packaged. Good luck with it.'),
      });
      if (answer) {
        this.caution = null;
        this.place.querySelector('.acts').replaceWith(h('div', { class: 'acts' },
          answer.caution && h('p', { class: 'alert warning' }, `Packaged. Take care: ${answer.caution}`), this.noteForm()));
      }
      return answer;
    });
  }
}

function lastDay(temperature) {
  const from = (temperature.time.at(-1) ?? 0) - 86400;
  const keep = temperature.time.map((time) => time >= from);
  return { time: temperature.time.filter((_, i) => keep[i]), value: temperature.value.filter((_, i) => keep[i]) };
}

function legend() {
  return h('ul', { class: 'legend', 'aria-hidden': 'true' },
    [['k-raw', 'as the hydrometer reports'], ['k-gravity', 'gravity, 80 % interval'], ['k-ahead', 'expected'], ['k-temperature', 'beer'],
      ['k-ambient', 'ambient'], ['k-hold', 'plan'], ['k-range', 'range of the yeast']].map(([kind, text]) => h('li', null, h('i', { class: kind }), text)));
}

function field(name, label, attributes, tag = 'input') {
  const id = `field-${name}`;
  return h('p', { class: 'field' }, h('label', { for: id }, label), h(tag, { id, name, ...attributes }));
}

function actForm(name, title, hint, fields, button, send) {
  return h('details', { class: 'card act', 'data-key': `act-${name}` },
    h('summary', null, title),
    h('form', {
      'aria-label': title,
      onsubmit: async (event) => {
        event.preventDefault();
        const form = event.currentTarget;
        const submit = form.querySelector('button');
        submit.disabled = true;
        const answer = await send(new FormData(form)).finally(() => { submit.disabled = false; });
        if (answer) { form.reset(); form.parentElement.open = false; }
      },
    }, h('p', { class: 'hint' }, hint), fields, h('button', { type: 'submit', class: 'main' }, button)));
}

function pitchedText(spec) {
  const parts = [];
  if (spec.volume_l) parts.push(show.settings().volume?.startsWith('gal') || show.settings().volume === '[gal_us]' ? `${(spec.volume_l / 3.785411784).toFixed(1)} gal` : `${spec.volume_l} L`);
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
