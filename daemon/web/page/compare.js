// Several batches on one chart, each counted from its own beginning; the first is what the others are compared with.
import { bdi, h, replaceContent } from './dom.js';
import { askAll, ask } from './session.js';
import * as show from './show.js';
import { axis, chartLibrary, colours, gravityAxis, label, leastGravity, leastTemperature, spread, temperatureAxis, whenColoursChange, within } from './axes.js';
import { showBar } from './bar.js';
import { nearest } from './chart.js';
import { comparedColumns, forecastFan } from './charts_data.js';
import { gestures } from './gestures.js';

const kMost = 6;
const kDay = 86400;

export class ComparePage {
  name = 'compare';

  title = 'Compare';

  // What the address says: the chosen, [from, to] in days, 'start' or 'pitch'. onLook(chosen, align, range): it changed.
  constructor(place, chosen, { range, align, onLook }) {
    this.place = place;
    this.chosen = chosen ? chosen.split(',').map(Number) : null;
    this.align = align === 'start' ? 'start' : 'pitch';
    this.range = range;
    this.onLook = onLook;
    this.series = new Map();
    this.unwatch = whenColoursChange(() => this.draw());
  }

  leave() {
    for (const plot of this.plots ?? []) plot.destroy();
    this.resize?.disconnect();
    this.unwatch();
  }

  async refresh() {
    showBar(null);
    const batches = await askAll('/v1/batches', 'batches');
    this.batches = batches.filter((batch) => !batch.unreadable).reverse();
    this.chosen ??= this.batches.slice(0, 3).map((batch) => batch.id);
    if (this.batches.length === 0) {
      this.place.replaceChildren(h('h1', null, 'Compare batches'), h('p', { class: 'wait' }, 'There is nothing to compare yet: a batch begins when it is pitched.'));
      return;
    }
    await chartLibrary();
    if (!this.frame) this.build();
    await this.load();
  }

  build() {
    this.choice = h('fieldset', { class: 'choice' });
    this.alignment = h('fieldset', { class: 'choice' });
    this.readout = h('div', { class: 'readout', 'aria-live': 'polite' });
    this.above = h('div', { class: 'plot' });
    this.below = h('div', { class: 'plot' });
    this.frame = h('div', { class: 'plots', tabindex: 0, role: 'application', 'aria-roledescription': 'chart',
      'aria-label': 'Gravity and temperature of the chosen batches. Arrow keys read values, plus and minus zoom, Home shows all.',
      onkeydown: (event) => this.moves?.onkey(event) }, this.above, h('p', { class: 'plot-title' }, h('b', null, `Beer, ${show.temperatureUnit()}`)), this.below);
    this.words = h('div', { class: 'chart-words' });
    this.place.replaceChildren(h('h1', null, 'Compare batches'),
      h('section', { class: 'card wide' }, h('div', { class: 'chooser' }, this.choice, this.alignment), this.readout,
        h('p', { class: 'plot-title' }, h('b', null, `Gravity, ${show.gravityUnit()}`), h('span', { class: 'hint' }, 'dashed: forecast')), this.frame, this.words));
    this.resize = new ResizeObserver(() => {
      if (this.plots && this.plots[0].width !== this.frame.clientWidth) {
        this.plots.forEach((plot, i) => plot.setSize({ width: this.frame.clientWidth, height: this.heights[i] }));
      }
    });
    this.resize.observe(this.frame);
  }

  get heights() { return this.frame.clientWidth < 600 ? [300, 190] : [380, 220]; }
  get shown() { return this.chosen.map((id) => this.batches.find((batch) => batch.id === id)).filter(Boolean).slice(0, kMost); }

  look() { this.onLook(this.chosen, this.align, this.range); }

  async load() {
    await Promise.all(this.shown.map(async (batch) => {
      this.series.set(batch.id, await ask(`/v1/batches/%23${batch.id}/series?points=400`));
    }));
    this.chooser();
    this.draw();
  }

  chooser() {
    const toggle = (id) => async (event) => {
      this.chosen = event.target.checked ? [...this.chosen, id] : this.chosen.filter((one) => one !== id);
      this.look();
      await this.load().catch(() => {});
    };
    const full = this.shown.length >= kMost;
    const picks = this.batches.slice(0, 40).map((batch) => {
      const k = this.shown.indexOf(batch);
      const on = this.chosen.includes(batch.id);
      return { on, row: h('label', { class: k >= 0 ? `pick line-${k}` : 'pick' },
        h('input', { type: 'checkbox', 'data-key': `pick-${batch.id}`, checked: on, disabled: full && !on, onchange: toggle(batch.id) }),
        h('i', { 'aria-hidden': 'true' }, k >= 0 ? String(k + 1) : ''), h('span', null, bdi(batch.name), h('small', null, ` ${show.day(show.seconds(batch.spec.pitched))}`))) };
    });
    // Of many only the chosen are in the way.
    const folded = picks.length > 6 ? picks.filter((one) => !one.on) : [];
    replaceContent(this.choice, h('legend', null, 'Batches'), picks.filter((one) => !folded.includes(one)).map((one) => one.row),
      folded.length > 0 && h('details', { class: 'others', 'data-key': 'others' }, h('summary', { 'data-key': 'others-sum' }, `${folded.length} others`), folded.map((one) => one.row)));
    replaceContent(this.alignment, h('legend', null, 'Day 0 is'), [['pitch', 'the pitch'], ['start', 'when it started to ferment']].map(([value, text]) =>
      h('label', { class: 'pick' }, h('input', { type: 'radio', name: 'align', value, 'data-key': `align-${value}`, checked: this.align === value,
        onchange: () => { this.align = value; this.look(); this.draw(); } }), h('span', null, text))));
  }

  draw() {
    if (!this.frame) return;
    const { uPlot } = globalThis;
    for (const plot of this.plots ?? []) plot.destroy();
    this.plots = null;
    const started = (batch) => show.seconds(batch.view.started ?? batch.spec.pitched);
    const shown = this.shown.map((batch) => ({ batch, series: this.series.get(batch.id),
      zero: this.align === 'start' ? started(batch) : show.seconds(batch.spec.pitched) })).filter((one) => one.series?.time.length);
    if (shown.length === 0) {
      replaceContent(this.words, h('p', null, 'Choose a batch that has readings.'));
      return;
    }
    const c = colours();
    const number = (convert) => (value) => (value === null || value === undefined ? null : convert(value));
    const gravity = comparedColumns([
      ...shown.map(({ series, zero }) => ({ times: series.time, values: series.gravity.map(number(show.gravityNumber)), zero })),
      ...shown.map(({ series, zero }) => { const fan = forecastFan(series); return { times: fan.map((p) => p.time), values: fan.map((p) => show.gravityNumber(p.value)), zero }; }),
    ]);
    const warmth = comparedColumns(shown.map(({ series, zero }) => ({ times: series.temperature.time, values: series.temperature.value.map(number(show.temperatureNumber)), zero })));
    const ends = shown.map(({ series, zero }) => [(series.time.at(-1) - zero) / kDay, show.gravityNumber(series.gravity.at(-1)), forecastFan(series).length > 0]);
    const whole = [Math.min(gravity[0][0], 0), gravity[0].at(-1) + 0.2];
    const sync = uPlot.sync('compare');
    const wide = this.frame.clientWidth >= 600;
    const line = (k, more) => ({ stroke: c[`line-${k}`], width: 2.5, spanGaps: true, points: { show: false }, ...more });
    const days = (more) => axis(c, { values: (u, splits) => splits.map((v) => `day ${Number(v.toFixed(2))}`), incrs: [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100], space: 50, ...more });
    const setSelect = (u) => {
      if (u.select.width < 8) return;
      this.move(whole, u.posToVal(u.select.left, 'x'), u.posToVal(u.select.left + u.select.width, 'x'));
      u.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    };
    const common = { width: this.frame.clientWidth, legend: { show: false }, padding: [10, wide ? 150 : 34, 0, 0],
      cursor: { sync: { key: sync.key, setSeries: false }, drag: { x: true, y: false, setScale: false }, points: { size: 9 } } };
    const hooks = { setCursor: [(u) => this.read(u, shown)], setSelect: [setSelect] };
    const [tall, low] = this.heights;
    this.plots = [
      new uPlot({ ...common, height: tall, scales: { x: { time: false }, y: { range: (u, min, max) => spread(min, max, leastGravity()) } },
        axes: [days({ values: (u, splits) => splits.map(() => ''), size: 6 }), gravityAxis(c)],
        series: [{}, ...shown.map((_, k) => line(k)), ...shown.map((_, k) => line(k, { width: 1.5, dash: [6, 5] }))],
        hooks: { ...hooks, draw: [(u) => drawEnds(u, c, shown, ends, wide)] } }, gravity, this.above),
      new uPlot({ ...common, height: low, scales: { x: { time: false }, y: { range: (u, min, max) => spread(min, max, leastTemperature()) } },
        axes: [days({}), temperatureAxis(c)], series: [{}, ...shown.map((_, k) => line(k, { width: 1.8 }))], hooks }, warmth, this.below),
    ];
    for (const plot of this.plots) {
      sync.sub(plot);
      const moves = gestures(plot.over, {
        range: () => this.range ?? whole, move: (from, to) => this.move(whole, from, to), whole: () => this.move(whole, ...whole),
        point: (left) => plot.setCursor({ left, top: 50 }),
        step: (count) => {
          const at = Math.min(Math.max((plot.cursor.idx ?? -1) + count, 0), plot.data[0].length - 1);
          plot.setCursor({ left: plot.valToPos(plot.data[0][at], 'x'), top: 50 });
        },
      });
      if (plot === this.plots[0]) this.moves = moves;
      plot.over.addEventListener('dblclick', () => this.move(whole, ...whole));
    }
    this.zoom(this.range ?? whole);
    this.readout.style.minHeight = `${1.65 * (shown.length + 1)}rem`;
    replaceContent(this.readout, h('p', null, 'Tap or point at the chart to read it.'));
    replaceContent(this.words, h('ul', { class: 'plain' }, shown.map(({ batch, series, zero }) => h('li', null, bdi(batch.name), wordsOf(batch, series, zero)))), differences(shown));
  }

  move(whole, from, to) {
    const width = Math.min(Math.max(to - from, 0.1), whole[1] - whole[0]);
    const left = Math.min(Math.max(from, whole[0]), whole[1] - width);
    this.range = width >= (whole[1] - whole[0]) * 0.999 ? null : [left, left + width];
    this.zoom(this.range ?? whole);
    clearTimeout(this.soon);
    this.soon = setTimeout(() => this.look(), 250);
  }

  zoom([min, max]) { for (const plot of this.plots) plot.setScale('x', { min, max }); }

  read(u, shown) {
    if (u.cursor.left < 0 || u.cursor.left === undefined) return;
    const at = u.posToVal(u.cursor.left, 'x');
    const values = shown.map(({ batch, series, zero }, k) => {
      const time = zero + at * kDay;
      const i = nearest(series.time, time);
      if (i < 0 || series.gravity[i] === null || Math.abs(series.time[i] - time) > kDay / 2) return null;
      const j = nearest(series.temperature.time, time);
      const warm = j >= 0 && Math.abs(series.temperature.time[j] - time) < kDay / 2 ? series.temperature.value[j] : null;
      return h('p', { class: `pick line-${k}` }, h('i', { 'aria-hidden': 'true' }, String(k + 1)), h('span', null, bdi(batch.name), ` ${show.gravity(series.gravity[i], 4)}${warm === null ? '' : `, ${show.temperature(warm)}`}`));
    }).filter(Boolean);
    replaceContent(this.readout, h('p', null, h('b', null, `Day ${at.toFixed(1)}`)), values);
  }
}

// The number, and where there is room the name, of each line where it ends; moved apart.
function drawEnds(u, c, shown, ends, wide) {
  const { ctx, bbox } = u;
  const px = devicePixelRatio;
  ctx.save();
  ctx.font = `600 ${12 * px}px system-ui, sans-serif`;
  ctx.textBaseline = 'middle';
  // Above its forecast, which falls away from there.
  const places = ends.map(([day, value, ahead], k) => ({ k, x: u.valToPos(day, 'x', true), y: u.valToPos(value, 'y', true) - (ahead ? 8 * px : 0) }))
    .filter(({ x }) => x >= bbox.left && x <= bbox.left + bbox.width + px).sort((a, b) => a.y - b.y);
  let last = -Infinity;
  for (const place of places) {
    const y = Math.max(place.y, last + 16 * px);
    last = y;
    const { name } = shown[place.k].batch;
    const text = wide ? `${place.k + 1} ${name.length > 20 ? `${name.slice(0, 19)}…` : name}` : String(place.k + 1);
    ctx.textAlign = 'left';
    label(ctx, px, text, place.x + 7 * px, y, c[`line-${place.k}`], c.paper);
  }
  ctx.restore();
}

function wordsOf(batch, series, zero) {
  const last = series.time.length - 1;
  const days = (series.time[last] - zero) / kDay;
  const reached = batch.view.final_gravity_since ? `, final gravity stable on day ${((show.seconds(batch.view.final_gravity_since) - zero) / kDay).toFixed(1)}` : '';
  const gone = batch.view.attenuation !== undefined ? `, ${show.percent(batch.view.attenuation)} attenuated` : '';
  return `: from ${show.gravity(batch.view.original_gravity_sg ?? series.gravity[0])} to ${show.gravity(batch.view.gravity_sg?.value ?? series.gravity[last])} by day ${days.toFixed(1)}${gone}${reached}.`;
}

const signed = (value, digits) => `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(digits)}`;

// Each batch in numbers, and how far from those of the first.
function differences(shown) {
  const plato = show.gravityUnit() === '°P';
  const after = (time, { batch }) => (time === undefined ? null : (show.seconds(time) - show.seconds(batch.spec.pitched)) / kDay);
  const mean = ({ series }) => { const known = series.temperature.value.filter((v) => v !== null); return known.length ? show.temperatureNumber(known.reduce((sum, v) => sum + v, 0) / known.length) : null; };
  const columns = [
    ['Original', (one) => one.batch.view.original_gravity_sg && show.gravityNumber(one.batch.view.original_gravity_sg), plato ? 1 : 4],
    ['Now or last', (one) => one.batch.view.gravity_sg && show.gravityNumber(one.batch.view.gravity_sg.value), plato ? 1 : 4],
    ['Attenuation, %', (one) => one.batch.view.attenuation !== undefined && 100 * one.batch.view.attenuation, 0],
    ['Started, days', (one) => after(one.batch.view.started, one), 1],
    ['Stable, days', (one) => after(one.batch.view.final_gravity_since, one), 1],
    [`Beer, mean ${show.temperatureUnit()}`, mean, 1],
  ];
  const cell = (one, [, of, digits]) => {
    const value = of(one);
    if (typeof value !== 'number') return '–';
    const first = of(shown[0]);
    return [value.toFixed(digits), one !== shown[0] && typeof first === 'number' && h('small', { class: 'apart' }, ` ${signed(value - first, digits)}`)];
  };
  return [h('p', { class: 'hint numbers-head' }, shown.length > 1 ? ['In numbers, and the difference from ', bdi(shown[0].batch.name)] : 'In numbers'),
    h('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'The batches in numbers' }, h('table', null,
    h('thead', null, h('tr', null, h('th', { scope: 'col' }, 'Batch'), columns.map(([text]) => h('th', { scope: 'col' }, text)))),
    h('tbody', null, shown.map((one, k) => h('tr', null, h('th', { scope: 'row' }, `${k + 1} `, bdi(one.batch.name)), columns.map((column) => h('td', null, cell(one, column))))))))];
}
