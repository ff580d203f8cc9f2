// Several batches on one chart, each counted from its own beginning.
import { h, replaceContent } from './dom.js';
import { askAll, ask } from './session.js';
import * as show from './show.js';
import { axis, colours } from './chart.js';
import { comparedColumns } from './charts_data.js';
import { gestures } from './gestures.js';

const { uPlot } = globalThis;
const kMost = 6;
const kDashes = [[], [9, 5], [2, 4], [12, 4, 2, 4], [5, 3], [14, 7]];

export class ComparePage {
  name = 'compare';

  constructor(place, chosen) {
    this.place = place;
    this.chosen = chosen ? chosen.split(',').map(Number) : null;
    this.align = 'pitch';
    this.series = new Map();
    this.dark = matchMedia('(prefers-color-scheme: dark)');
    this.redraw = () => this.draw();
    this.dark.addEventListener('change', this.redraw);
  }

  leave() {
    this.plot?.destroy();
    this.resize?.disconnect();
    this.dark.removeEventListener('change', this.redraw);
  }

  async refresh() {
    document.title = 'Compare · Gylekeeper';
    const batches = await askAll('/v1/batches', 'batches');
    this.batches = batches.filter((batch) => !batch.unreadable).reverse();
    this.chosen ??= this.batches.slice(0, 3).map((batch) => batch.id);
    if (!this.frame) this.build();
    await this.load();
  }

  build() {
    this.choice = h('fieldset', { class: 'choice' });
    this.alignment = h('fieldset', { class: 'choice' });
    this.readout = h('p', { class: 'readout', 'aria-live': 'polite' });
    this.frame = h('div', { class: 'plots', tabindex: 0, role: 'application', 'aria-roledescription': 'chart',
      'aria-label': 'Gravity of the chosen batches. Arrow keys read values, plus and minus zoom, Home shows all.',
      onkeydown: (event) => this.moves?.onkey(event) });
    this.words = h('div', { class: 'chart-words' });
    this.place.replaceChildren(h('h1', null, 'Compare batches'),
      h('section', { class: 'card wide' }, h('div', { class: 'chooser' }, this.choice, this.alignment), this.readout, this.frame, this.words));
    this.resize = new ResizeObserver(() => {
      if (this.plot && this.plot.width !== this.frame.clientWidth) this.plot.setSize({ width: this.frame.clientWidth, height: this.height });
    });
    this.resize.observe(this.frame);
  }

  get height() { return this.frame.clientWidth < 600 ? 340 : 420; }
  get shown() { return this.batches.filter((batch) => this.chosen.includes(batch.id)).slice(0, kMost); }

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
      history.replaceState(null, '', `#/compare/${this.chosen.join(',')}`);
      await this.load().catch(() => {});
    };
    const full = this.shown.length >= kMost;
    replaceContent(this.choice, h('legend', null, 'Batches'), this.batches.slice(0, 40).map((batch) => {
      const k = this.shown.indexOf(batch);
      const on = this.chosen.includes(batch.id);
      return h('label', { class: k >= 0 ? `pick line-${k}` : 'pick' },
        h('input', { type: 'checkbox', 'data-key': `pick-${batch.id}`, checked: on, disabled: full && !on, onchange: toggle(batch.id) }),
        h('i', { 'aria-hidden': 'true' }), h('span', null, batch.name, h('small', null, ` ${show.day(show.seconds(batch.spec.pitched))}`)));
    }));
    replaceContent(this.alignment, h('legend', null, 'Day 0 is'), [['pitch', 'the pitch'], ['start', 'when it started to ferment']].map(([value, text]) =>
      h('label', { class: 'pick' }, h('input', { type: 'radio', name: 'align', value, 'data-key': `align-${value}`, checked: this.align === value,
        onchange: () => { this.align = value; this.draw(); } }), h('span', null, text))));
  }

  draw() {
    if (!this.frame) return;
    this.plot?.destroy();
    this.plot = null;
    const started = (batch) => show.seconds(batch.view.started ?? batch.spec.pitched);
    const shown = this.shown.map((batch) => ({ batch, series: this.series.get(batch.id),
      zero: this.align === 'start' ? started(batch) : show.seconds(batch.spec.pitched) })).filter((one) => one.series?.time.length);
    if (shown.length === 0) {
      replaceContent(this.words, h('p', null, 'Choose a batch that has readings.'));
      return;
    }
    const c = colours();
    const style = getComputedStyle(document.documentElement);
    const data = comparedColumns(shown, show.gravityNumber);
    const decimals = show.gravityUnit() === 'SG' ? 3 : 1;
    const lineOf = (k) => this.shown.indexOf(shown[k].batch);
    const whole = [Math.min(data[0][0], 0), data[0].at(-1) + 0.2];
    let range = whole;
    this.plot = new uPlot({
      width: this.frame.clientWidth,
      height: this.height,
      padding: [12, 28, 0, 0],
      legend: { show: false },
      cursor: { drag: { x: true, y: false, setScale: false }, points: { size: 9 } },
      scales: { x: { time: false } },
      axes: [axis(c, { values: (u, splits) => splits.map((v) => `day ${Number(v.toFixed(2))}`), space: 64 }),
        axis(c, { size: 54, values: (u, splits) => splits.map((v) => v.toFixed(decimals)) })],
      series: [{}, ...shown.map((_, k) => ({ stroke: style.getPropertyValue(`--line-${lineOf(k)}`).trim(), dash: kDashes[lineOf(k)], width: 2.5,
        spanGaps: true, points: { show: false } }))],
      hooks: {
        setCursor: [(u) => this.read(u, shown)],
        setSelect: [(u) => {
          if (u.select.width < 8) return;
          move(u.posToVal(u.select.left, 'x'), u.posToVal(u.select.left + u.select.width, 'x'));
          u.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
        }],
      },
    }, data, this.frame);
    const move = (from, to) => {
      const width = Math.min(Math.max(to - from, 0.1), whole[1] - whole[0]);
      const left = Math.min(Math.max(from, whole[0]), whole[1] - width);
      range = [left, left + width];
      this.plot.setScale('x', { min: range[0], max: range[1] });
    };
    this.moves = gestures(this.plot.over, {
      range: () => range, move, whole: () => move(...whole),
      point: (left) => this.plot.setCursor({ left, top: 50 }),
      step: (count) => {
        const at = Math.min(Math.max((this.plot.cursor.idx ?? -1) + count, 0), data[0].length - 1);
        this.plot.setCursor({ left: this.plot.valToPos(data[0][at], 'x'), top: 50 });
      },
    });
    this.plot.over.addEventListener('dblclick', () => move(...whole));
    move(...whole);
    this.readout.textContent = 'Tap or point at the chart to read it.';
    replaceContent(this.words, h('ul', { class: 'plain' }, shown.map(({ batch, series, zero }) => h('li', null, wordsOf(batch, series, zero)))));
  }

  read(u, shown) {
    if (u.cursor.left < 0) return;
    const at = u.posToVal(u.cursor.left, 'x');
    const values = shown.map(({ batch, series, zero }) => {
      const time = zero + at * 86400;
      let best = -1;
      series.time.forEach((t, i) => { if (series.gravity[i] !== null && (best < 0 || Math.abs(t - time) < Math.abs(series.time[best] - time))) best = i; });
      if (best < 0 || Math.abs(series.time[best] - time) > 86400 / 2) return null;
      return `${batch.name} ${show.gravity(series.gravity[best], 4)}`;
    }).filter(Boolean);
    this.readout.textContent = [`Day ${at.toFixed(1)}`, ...values].join(' · ');
  }
}

function wordsOf(batch, series, zero) {
  const last = series.time.length - 1;
  const days = (series.time[last] - zero) / 86400;
  const reached = batch.view.final_gravity_since ? `, final gravity stable on day ${((show.seconds(batch.view.final_gravity_since) - zero) / 86400).toFixed(1)}` : '';
  const gone = batch.view.attenuation !== undefined ? `, ${show.percent(batch.view.attenuation)} attenuated` : '';
  return `${batch.name}: from ${show.gravity(batch.view.original_gravity_sg ?? series.gravity[0])} to ${show.gravity(series.gravity[last])} by day ${days.toFixed(1)}${gone}${reached}.`;
}
