// The charts of a batch, drawn by uPlot: gravity above, temperature below, on one time axis.
import { h } from './dom.js';
import { forecastFan, gravityColumns, temperatureColumns } from './charts_data.js';
import { gestures } from './gestures.js';
import * as show from './show.js';

const kDay = 86400;
const { uPlot } = globalThis;

export function colours() {
  const style = getComputedStyle(document.documentElement);
  const get = (name) => style.getPropertyValue(`--${name}`).trim();
  return { ink: get('ink'), soft: get('soft'), grid: get('grid'), gravity: get('gravity'), raw: get('raw'), band: get('band'),
    fan: get('fan'), ahead: get('ahead'), temperature: get('temperature'), ambient: get('ambient'), range: get('range'),
    hold: get('hold'), mark: get('mark'), paper: get('paper') };
}

export const font = '13px system-ui, sans-serif';

// Days, and hours when there is room for them.
export function timeLabels(u, splits, axis, space, step) {
  let before = '';
  return splits.map((time) => {
    const day = show.shortDay(time);
    const text = step >= kDay || show.hour(time) === '00:00' || (before === '' && step < kDay) ? day : show.hour(time);
    before = day;
    return text;
  });
}

const kSteps = [60, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, kDay, 2 * kDay, 3 * kDay, 7 * kDay, 14 * kDay, 28 * kDay];

export function axis(c, more) {
  return { stroke: c.soft, font, grid: { stroke: c.grid, width: 1 }, ticks: { stroke: c.grid, width: 1, size: 4 }, ...more };
}

const kGlyphs = { pitch: '▽', alert: '!', sample: '◆', note: '✎', addition: '+', packaged: '▣' };

export class BatchCharts {
  // onRange(from, to): the range to show; undefined for all of it.
  constructor(place, onRange) {
    this.place = place;
    this.onRange = onRange;
    this.window = null;  // [from, to] when zoomed
    this.readout = h('p', { class: 'readout', 'aria-live': 'polite' });
    this.above = h('div', { class: 'plot' });
    this.below = h('div', { class: 'plot' });
    this.frame = h('div', { class: 'plots', tabindex: 0, role: 'application', 'aria-roledescription': 'chart',
      'aria-label': 'Gravity and temperature. Arrow keys read values, plus and minus zoom, Shift with arrows moves, Home shows all.' },
    this.above, this.below);
    const zoomBy = (factor) => () => this.moves?.zoom(factor);
    this.bar = h('div', { class: 'row zoom', role: 'group', 'aria-label': 'What the charts show' },
      [['All', null], ['7 days', 7], ['2 days', 2]].map(([name, days]) => h('button', { type: 'button',
        'aria-pressed': days === null ? 'true' : 'false', 'data-days': days ?? 'all', onclick: () => this.showLast(days) }, name)),
      h('button', { type: 'button', 'aria-label': 'Zoom in', onclick: zoomBy(0.6) }, '+'),
      h('button', { type: 'button', 'aria-label': 'Zoom out', onclick: zoomBy(1 / 0.6) }, '−'));
    place.append(this.bar, this.readout, this.frame);
    this.resize = new ResizeObserver(() => this.fit());
    this.resize.observe(place);
    this.dark = matchMedia('(prefers-color-scheme: dark)');
    this.redraw = () => this.draw();
    this.dark.addEventListener('change', this.redraw);
    this.frame.addEventListener('keydown', (event) => this.moves?.onkey(event));
  }

  destroy() {
    this.resize.disconnect();
    this.dark.removeEventListener('change', this.redraw);
    for (const plot of this.plots ?? []) plot.destroy();
  }

  get width() { return Math.max(this.place.clientWidth, 240); }
  get heights() { return this.width < 600 ? [300, 190] : [360, 200]; }

  fit() {
    if (!this.plots || this.drawnWidth === this.width) return;
    this.drawnWidth = this.width;
    this.plots.forEach((plot, i) => plot.setSize({ width: this.width, height: this.heights[i] }));
  }

  // `series` of the whole batch, or of the window with `whole` the extent of all.
  update(series, spec) {
    this.series = series;
    this.spec = spec;
    this.fan = forecastFan(series);
    this.gravity = gravityColumns(series, this.fan, show.gravityNumber);
    this.temperature = temperatureColumns(series, show.temperatureNumber);
    if (!this.window) {
      const first = Math.min(show.seconds(spec.pitched), series.time[0] ?? Infinity);
      const last = Math.max(this.gravity[0].at(-1) ?? 0, series.temperature.time.at(-1) ?? 0, first + kDay / 4);
      const margin = (last - first) * 0.02;
      this.whole = [first - margin, last + margin];
    }
    if (!this.plots) { this.draw(); return; }
    this.plots[0].setData(this.gravity, false);
    this.plots[1].setData(this.temperature, false);
    this.apply();
  }

  get shown() { return this.window ?? this.whole; }

  showLast(days) {
    if (days === null) { this.move(...this.whole); return; }
    const last = this.series.time.at(-1) ?? this.whole[1];
    this.move(last - days * kDay, last + days * kDay * 0.25, days);
  }

  move(from, to, days = null) {
    const [first, last] = this.whole;
    const width = Math.min(Math.max(to - from, 1800), last - first);
    const left = Math.min(Math.max(from, first), last - width);
    this.window = width >= (last - first) * 0.999 ? null : [left, left + width];
    for (const button of this.bar.querySelectorAll('[data-days]')) {
      const mine = button.dataset.days === 'all' ? !this.window : Number(button.dataset.days) === days && this.window !== null;
      button.setAttribute('aria-pressed', String(mine));
    }
    this.apply();
    clearTimeout(this.soon);
    this.soon = setTimeout(() => this.onRange(...(this.window ?? [])), 250);
  }

  apply() {
    const [min, max] = this.shown;
    for (const plot of this.plots) plot.batch(() => { plot.setScale('x', { min, max }); });
  }

  draw() {
    if (!this.series) return;
    for (const plot of this.plots ?? []) plot.destroy();
    const c = colours();
    this.drawnWidth = this.width;
    const [tall, low] = this.heights;
    const sync = uPlot.sync('batch');
    const zone = show.settings().time_zone;
    const common = {
      width: this.width,
      legend: { show: false },
      tzDate: (time) => { try { return uPlot.tzDate(new Date(time * 1000), zone); } catch { return new Date(time * 1000); } },
      cursor: { sync: { key: sync.key, setSeries: false }, drag: { x: true, y: false, setScale: false }, points: { size: 9 } },
    };
    const spread = (u, min, max, least) => {
      if (min === null || max === null) return [null, null];
      const room = Math.max((max - min) * 0.06, (least - (max - min)) / 2);
      return [min - room, max + room];
    };
    const setSelect = (u) => {
      if (u.select.width < 8) return;
      this.move(u.posToVal(u.select.left, 'x'), u.posToVal(u.select.left + u.select.width, 'x'));
      u.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    };
    const x = (more) => axis(c, { values: timeLabels, incrs: kSteps, space: 58, ...more });
    const line = (stroke, width, more) => ({ stroke, width, points: { show: false }, spanGaps: true, ...more });
    const none = { points: { show: false }, spanGaps: true };
    const gravityDecimals = show.gravityUnit() === 'SG' ? 3 : 1;
    const above = new uPlot({
      ...common,
      height: tall,
      padding: [26, 24, 0, 0],
      scales: { x: { time: true }, y: { range: (u, min, max) => spread(u, min, max, show.gravityUnit() === 'SG' ? 0.004 : 1) } },
      axes: [x({ values: (u, splits) => splits.map(() => ''), size: 8 }),
        axis(c, { size: 54, values: (u, splits) => splits.map((v) => v.toFixed(gravityDecimals)) })],
      series: [{},
        { stroke: c.raw, fill: c.raw, paths: () => null, points: { show: true, size: 3.5, width: 0, stroke: c.raw, fill: c.raw } },
        none, line(c.gravity, 2.5), none, none, line(c.ahead, 2, { dash: [7, 5] }), none],
      bands: [{ series: [4, 2], fill: c.band }, { series: [7, 5], fill: c.fan }],
      hooks: { draw: [(u) => this.drawMarks(u, c)], setCursor: [(u) => this.read(u)], setSelect: [setSelect] },
    }, this.gravity, this.above);
    const below = new uPlot({
      ...common,
      height: low,
      padding: [10, 24, 0, 0],
      scales: { x: { time: true }, y: { range: (u, min, max) => {
        const levels = this.spec.plan.map((hold) => show.temperatureNumber(hold.hold_celsius));
        return spread(u, Math.min(min ?? Infinity, ...levels), Math.max(max ?? -Infinity, ...levels), 9);
      } } },
      axes: [x({}), axis(c, { size: 54, values: (u, splits) => splits.map((v) => `${Number(v.toFixed(1))}°`) })],
      series: [{}, line(c.temperature, 2.5), line(c.ambient, 1.5, { dash: [3, 4], auto: false })],
      hooks: { drawClear: [(u) => this.drawRange(u, c)], draw: [(u) => this.drawHolds(u, c)], setCursor: [(u) => this.read(u)], setSelect: [setSelect] },
    }, this.temperature, this.below);
    sync.sub(above);
    sync.sub(below);
    this.plots = [above, below];
    this.moves = null;
    for (const plot of this.plots) {
      const moves = gestures(plot.over, {
        range: () => this.shown,
        move: (from, to) => this.move(from, to),
        whole: () => this.move(...this.whole),
        point: (left) => plot.setCursor({ left, top: plot.over.clientHeight / 2 }),
        step: (count) => this.step(count),
      });
      plot.over.addEventListener('dblclick', () => this.move(...this.whole));
      this.moves ??= moves;
    }
    this.apply();
    this.sayNow();
  }

  step(count) {
    const [plot] = this.plots;
    const times = this.gravity[0];
    const at = plot.cursor.idx ?? (count > 0 ? -1 : times.length);
    const [from, to] = this.shown;
    let next = Math.min(Math.max(at + count, 0), times.length - 1);
    if (times[next] < from || times[next] > to) next = plot.valToIdx(count > 0 ? from : to);
    plot.setCursor({ left: plot.valToPos(times[next], 'x'), top: plot.over.clientHeight / 2 });
  }

  sayNow() {
    this.readout.textContent = 'Tap or point at the chart to read it.';
  }

  read(u) {
    const { idx, left } = u.cursor;
    if (idx === null || idx === undefined || left < 0) return;
    const time = u.posToVal(left, 'x');
    const [times] = this.gravity;
    const i = nearest(times, time);
    const column = (k) => this.gravity[k][i];
    const digits = show.gravityUnit() === 'SG' ? 4 : 1;
    const unit = show.gravityUnit() === 'SG' ? '' : ' °P';
    const parts = [show.moment(times[i])];
    if (column(3) !== null) {
      parts.push(`gravity ${column(3).toFixed(digits)}${unit} (${column(2).toFixed(digits)} to ${column(4).toFixed(digits)})`);
      if (column(1) !== null) parts.push(`read as ${column(1).toFixed(digits)}${unit}`);
    } else if (column(6) !== null) {
      parts.push(`expected ${column(6).toFixed(digits)}${unit} (${column(5).toFixed(digits)} to ${column(7).toFixed(digits)})`);
    }
    const [warmTimes, warm, air] = this.temperature;
    const j = nearest(warmTimes, times[i]);
    const close = j >= 0 && Math.abs(warmTimes[j] - times[i]) < 3 * 3600;
    if (close && typeof warm[j] === 'number') parts.push(`beer ${warm[j].toFixed(1)} ${show.temperatureUnit()}`);
    if (close && typeof air[j] === 'number') parts.push(`ambient ${air[j].toFixed(1)} ${show.temperatureUnit()}`);
    const near = 14 * (this.shown[1] - this.shown[0]) / u.over.clientWidth;
    for (const mark of this.series.marks) {
      if (Math.abs(mark.time - time) < near) parts.push(`${mark.what === 'alert' ? '' : `${mark.what}: `}${short(mark.text)}`);
    }
    this.readout.textContent = parts.join(' · ');
  }

  // A line and a sign for each event; signs that would overlap are drawn once.
  drawMarks(u, c) {
    const { ctx, bbox } = u;
    const px = devicePixelRatio;
    ctx.save();
    ctx.font = `bold ${13 * px}px system-ui, sans-serif`;
    ctx.textAlign = 'center';
    ctx.textBaseline = 'middle';
    let last = -Infinity;
    for (const mark of [...this.series.marks].sort((a, b) => a.time - b.time)) {
      const x = Math.round(u.valToPos(mark.time, 'x', true));
      if (x < bbox.left || x > bbox.left + bbox.width) continue;
      ctx.strokeStyle = c.mark;
      ctx.globalAlpha = 0.55;
      ctx.lineWidth = px;
      ctx.setLineDash([2 * px, 4 * px]);
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      ctx.globalAlpha = 1;
      if (mark.gravity !== undefined) this.drawSample(ctx, x, u.valToPos(show.gravityNumber(mark.gravity), 'y', true), c, px);
      if (mark.state === 'withdrawn' || x - last < 15 * px) continue;
      last = x;
      ctx.fillStyle = c.paper;
      ctx.setLineDash([]);
      ctx.beginPath();
      ctx.arc(x, bbox.top - 12 * px, 10 * px, 0, 7);
      ctx.fill();
      ctx.stroke();
      ctx.fillStyle = c.ink;
      ctx.fillText(kGlyphs[mark.what] ?? '•', x, bbox.top - 11.5 * px);
    }
    ctx.restore();
  }

  // The hand samples, at their own values.
  drawSample(ctx, x, y, c, px) {
    const r = 6 * px;
    ctx.setLineDash([]);
    ctx.fillStyle = c.paper;
    ctx.strokeStyle = c.ink;
    ctx.lineWidth = 2 * px;
    ctx.beginPath();
    ctx.moveTo(x, y - r);
    ctx.lineTo(x + r, y);
    ctx.lineTo(x, y + r);
    ctx.lineTo(x - r, y);
    ctx.closePath();
    ctx.fill();
    ctx.stroke();
  }

  drawRange(u, c) {
    const range = this.series.yeast_range;
    if (!range) return;
    const { ctx, bbox } = u;
    const [low, high] = range.map((celsius) => u.valToPos(show.temperatureNumber(celsius), 'y', true));
    const top = Math.max(high, bbox.top);
    const bottom = Math.min(low, bbox.top + bbox.height);
    if (bottom <= top) return;
    ctx.save();
    ctx.fillStyle = c.range;
    ctx.fillRect(bbox.left, top, bbox.width, bottom - top);
    ctx.restore();
  }

  drawHolds(u, c) {
    const { ctx, bbox } = u;
    const px = devicePixelRatio;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    ctx.strokeStyle = c.hold;
    ctx.fillStyle = c.ink;
    ctx.lineWidth = 2 * px;
    ctx.font = `${12 * px}px system-ui, sans-serif`;
    ctx.textAlign = 'left';
    ctx.textBaseline = 'alphabetic';
    for (const hold of this.series.holds ?? []) {
      if (hold.from === null || hold.from === undefined) continue;
      const y = u.valToPos(show.temperatureNumber(hold.celsius), 'y', true);
      const from = u.valToPos(hold.from, 'x', true);
      const to = hold.to === null || hold.to === undefined ? bbox.left + bbox.width : u.valToPos(hold.to, 'x', true);
      ctx.setLineDash([10 * px, 4 * px]);
      ctx.beginPath();
      ctx.moveTo(from, y);
      ctx.lineTo(to, y);
      ctx.stroke();
      const text = `hold ${hold.step}: ${show.temperature(hold.celsius)}`;
      const left = Math.max(from, bbox.left) + 5 * px;
      if (Math.min(to, bbox.left + bbox.width) - left < 40 * px) continue;
      const over = y - bbox.top > 24 * px;
      ctx.fillText(text, Math.min(left, bbox.left + bbox.width - ctx.measureText(text).width - 4 * px), y + (over ? -6 : 15) * px);
    }
    ctx.restore();
  }
}

const short = (text) => (text.length > 110 ? `${text.slice(0, 108)} …` : text);

function nearest(times, time) {
  if (times.length === 0) return -1;
  let low = 0;
  let high = times.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] < time) low = middle; else high = middle;
  }
  return time - times[low] < times[high] - time ? low : high;
}

// The charts in words, for readers who do not see them or prefer text.
export function inWords(series, batch) {
  const { view, spec } = batch;
  const known = series.gravity.filter((value) => value !== null);
  if (known.length === 0) return ['No gravity has been read yet.'];
  const sentences = [];
  const og = view.original_gravity_sg ?? known[0];
  const end = known.at(-1);
  const least = Math.min(...known);
  sentences.push(`From ${show.moment(show.seconds(spec.pitched))} to ${show.moment(series.time.at(-1))} gravity went from ${show.gravity(og)} to ${show.gravity(end)}`
    + (view.attenuation !== undefined ? `, which is ${show.percent(view.attenuation)} attenuated.` : '.'));
  if (end - least > 0.002) sentences.push(`Its lowest was ${show.gravity(least)}.`);
  if (view.rate_points_per_day !== undefined) sentences.push(`It is ${show.fall(view.rate_points_per_day)}.`);
  const { final_gravity_sg: fg, final_time: when } = series.forecast ?? {};
  if (fg && when && when.value > series.time.at(-1)) {
    sentences.push(`It is expected to come to ${show.gravity(fg.value)}, between ${show.gravity(fg.low)} and ${show.gravity(fg.high)}, ${show.span(when.low, when.high)}.`);
  }
  const warm = series.temperature.value.filter((value) => value !== null);
  if (warm.length > 0) {
    sentences.push(`The beer was at ${show.temperatureRange(Math.min(...warm), Math.max(...warm))}, now ${show.temperature(warm.at(-1))}; its yeast has a range of ${show.temperatureRange(...series.yeast_range)}.`);
  }
  return sentences;
}
