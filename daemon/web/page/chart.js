// The charts of a batch, drawn by uPlot: gravity above, temperature below, on one time axis.
import { h, replaceContent, svg } from './dom.js';
import { axis, colours, gravityAxis, label, leastGravity, leastTemperature, spread, temperatureAxis, timeLabels, timeSteps, whenColoursChange, within } from './axes.js';
import { ambientDays, forecastFan, gravityColumns } from './charts_data.js';
import { gestures } from './gestures.js';
import * as show from './show.js';

const kDay = 86400;
const kMarkWidth = 28;  // of a mark that a finger meets

const kGlyphs = { pitch: '▽', alert: '!', sample: '◆', note: '✎', addition: '+', packaged: '▣' };

export class BatchCharts {
  // `range`: [from, to] of what is shown at first, or null. onRange(from, to): the range to show; undefined for all of it.
  constructor(place, range, onRange) {
    this.place = place;
    this.onRange = onRange;
    this.window = range;
    this.readout = h('div', { class: 'readout', 'aria-live': 'polite' });
    this.marks = h('div', { class: 'marks', role: 'group', 'aria-label': 'What happened' });
    this.tip = h('p', { class: 'tip', role: 'status', hidden: true });
    this.above = h('div', { class: 'plot' });
    this.below = h('div', { class: 'plot' });
    this.frame = h('div', { class: 'plots', tabindex: 0, role: 'application', 'aria-roledescription': 'chart',
      'aria-label': 'Gravity and temperature. Arrow keys read values, plus and minus zoom, Shift with arrows moves, Home shows all.' },
    this.above, this.below);
    const zoomBy = (factor) => () => this.moves?.zoom(factor);
    this.bar = h('div', { class: 'row zoom', role: 'group', 'aria-label': 'What the charts show' },
      [['All', null], ['7 days', 7], ['2 days', 2]].map(([name, days]) => h('button', { type: 'button',
        'aria-pressed': days === null && !range ? 'true' : 'false', 'data-days': days ?? 'all', onclick: () => this.showLast(days) }, name)),
      h('button', { type: 'button', 'aria-label': 'Zoom in', onclick: zoomBy(0.6) }, '+'),
      h('button', { type: 'button', 'aria-label': 'Zoom out', onclick: zoomBy(1 / 0.6) }, '−'));
    this.titles = [h('p', { class: 'plot-title' }), h('p', { class: 'plot-title' })];
    place.append(this.readout, this.titles[0], this.marks, this.frame, this.tip, this.bar);
    this.below.before(this.titles[1]);
    this.resize = new ResizeObserver(() => this.fit());
    this.resize.observe(place);
    this.unwatch = whenColoursChange(() => this.draw());
    this.frame.addEventListener('keydown', (event) => { this.tip.hidden = true; this.moves?.onkey(event); });
    this.frame.addEventListener('pointerdown', () => { this.tip.hidden = true; this.touched = true; });
    this.release = () => {
      this.touched = false;
      if (!this.held) return;
      const held = this.held;
      this.held = null;
      this.update(...held);
    };
    addEventListener('pointerup', this.release);
    addEventListener('pointercancel', this.release);
  }

  destroy() {
    this.resize.disconnect();
    this.unwatch();
    removeEventListener('pointerup', this.release);
    removeEventListener('pointercancel', this.release);
    for (const plot of this.plots ?? []) plot.destroy();
  }

  get width() { return Math.max(this.place.clientWidth, 200); }
  get heights() { return this.width < 600 ? [232, 168] : [340, 210]; }

  fit() {
    if (!this.plots || this.drawnWidth === this.width) return;
    this.drawnWidth = this.width;
    this.plots.forEach((plot, i) => plot.setSize({ width: this.width, height: this.heights[i] }));
    this.placeMarks();
  }

  // `series`: of the whole batch, or of the window. Nothing moves under a finger: then what is new waits.
  // Without `ahead` no forecast is drawn: what it begins with is old.
  update(series, spec, now, ahead) {
    if (this.touched) { this.held = [series, spec, now, ahead]; return; }
    this.series = series;
    this.spec = spec;
    this.now = now;
    this.fan = ahead ? forecastFan(series) : [];
    this.gravity = gravityColumns(series, this.fan, show.gravityNumber);
    this.warmth = [series.temperature.time, series.temperature.value.map((value) => (value === null ? null : show.temperatureNumber(value)))];
    this.ambient = ambientDays(series.ambient, show.temperatureNumber, show.day);
    const first = Math.min(show.seconds(spec.pitched), series.time[0] ?? Infinity);
    const last = Math.max(this.gravity[0].at(-1) ?? 0, this.warmth[0].at(-1) ?? 0, first + kDay / 4);
    const margin = (last - first) * 0.02;
    if (!this.window || !this.whole) this.whole = [show.seconds(spec.pitched) - margin, last + margin];
    if (!this.plots) { this.draw(); return; }
    this.plots[0].setData(this.gravity, false);
    this.plots[1].setData(this.warmth, false);
    this.apply();
    this.read();
  }

  get shown() { return this.window ?? this.whole; }

  showLast(days) {
    if (days === null) { this.move(...this.whole); return; }
    const last = this.now ?? this.whole[1];
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
    this.placeMarks();
  }

  // Gravity: the band and the fan that are seen; what is beyond is pinned to the edge.
  gravityRange(u) {
    const [from, to] = this.shown;
    let [low, high] = [Infinity, -Infinity];
    this.gravity[0].forEach((time, i) => {
      if (time < from || time > to) return;
      for (const k of [2, 4, 5, 7]) {
        const value = this.gravity[k][i];
        if (value === null || value === undefined) continue;
        low = Math.min(low, value);
        high = Math.max(high, value);
      }
    });
    const near = leastGravity();
    for (const { time, gravity } of this.series.marks) {
      if (gravity === undefined || time < from || time > to) continue;
      const value = show.gravityNumber(gravity);
      if (value < low && value > low - near) low = value;
      if (value > high && value < high + near) high = value;
    }
    return spread(low, high, near);
  }

  // How many readings of what is shown are beyond it, and so are signs at its edge.
  get beyond() {
    const [from, to] = this.shown;
    const [low, high] = this.gravityRange();
    const [times, raw] = this.gravity;
    return times.filter((time, i) => time >= from && time <= to && typeof raw[i] === 'number' && (raw[i] < low || raw[i] > high)).length;
  }

  temperatureRange() {
    const [from, to] = this.shown;
    let [low, high] = [Infinity, -Infinity];
    const reach = (value) => { low = Math.min(low, value); high = Math.max(high, value); };
    this.warmth[0].forEach((time, i) => { if (time >= from && time <= to && typeof this.warmth[1][i] === 'number') reach(this.warmth[1][i]); });
    for (const hold of this.series.holds) if (hold.from < to && (hold.to ?? Infinity) > from) reach(show.temperatureNumber(hold.celsius));
    // The cellar, as far as it does not flatten the beer.
    const room = leastTemperature();
    const [coldest, warmest] = [low - room, high + room];
    for (const day of this.ambient) {
      if (day.to < from || day.from > to) continue;
      reach(Math.max(day.low, coldest));
      reach(Math.min(day.high, warmest));
    }
    return spread(low, high, room);
  }

  draw() {
    if (!this.series) return;
    const { uPlot } = globalThis;
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
    const setSelect = (u) => {
      if (u.select.width < 8) return;
      this.move(u.posToVal(u.select.left, 'x'), u.posToVal(u.select.left + u.select.width, 'x'));
      u.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    };
    const x = (more) => axis(c, { values: timeLabels, incrs: timeSteps, space: 62, ...more });
    const line = (stroke, width, more) => ({ stroke, width, points: { show: false }, spanGaps: true, ...more });
    const none = { points: { show: false }, spanGaps: true };
    const edge = line(c['fan-edge'], 1);
    const above = new uPlot({
      ...common,
      height: tall,
      padding: [8, 16, 0, 0],
      scales: { x: { time: true }, y: { range: () => this.gravityRange() } },
      axes: [x({ values: (u, splits) => splits.map(() => ''), size: 6 }), gravityAxis(c)],
      series: [{}, { ...none, paths: () => null }, none, line(c.gravity, 2.5), none, edge, line(c.ahead, 2, { dash: [7, 5] }), edge],
      bands: [{ series: [4, 2], fill: c.band }, { series: [7, 5], fill: c.fan }],
      hooks: { drawAxes: [(u) => this.drawReadings(u, c)], draw: [(u) => this.drawAbove(u, c)], setCursor: [(u) => this.read(u)], setSelect: [setSelect] },
    }, this.gravity, this.above);
    const below = new uPlot({
      ...common,
      height: low,
      padding: [8, 16, 0, 0],
      scales: { x: { time: true }, y: { range: () => this.temperatureRange() } },
      axes: [x({ size: 42 }), temperatureAxis(c)],
      series: [{}, line(c.temperature, 2.5)],
      hooks: { drawAxes: [(u) => this.drawGround(u, c)], draw: [(u) => this.drawHolds(u, c)], setCursor: [(u) => this.read(u)], setSelect: [setSelect] },
    }, this.warmth, this.below);
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
    replaceContent(this.titles[0], h('b', null, `Gravity, ${show.gravityUnit()}`), legend([['raw', 'readings'], ['gravity', 'estimate'], ['ahead', 'forecast']]));
    replaceContent(this.titles[1], h('b', null, `Temperature, ${show.temperatureUnit()}`), legend([['temperature', 'beer'], ['hold', 'plan'], ['ambient', 'ambient'], ['range', 'yeast’s range']]));
    this.apply();
    this.read();
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

  // What is under the finger, or, without one, the newest. Always three lines; the beer has its own.
  read(u) {
    const pointed = u && u.cursor.left >= 0 && u.cursor.idx !== null && u.cursor.idx !== undefined;
    if (u && !pointed) return;
    const [times] = this.gravity;
    const time = pointed ? u.posToVal(u.cursor.left, 'x') : this.series.time.at(-1) ?? this.now;
    const i = nearest(times, time);
    const digits = show.gravityUnit() === 'SG' ? 4 : 1;
    const unit = show.gravityUnit() === 'SG' ? '' : ' °P';
    const column = (k) => this.gravity[k][i] ?? null;
    const number = (k) => column(k).toFixed(digits);
    const gravity = i < 0 ? 'no gravity yet'
      : column(3) !== null ? `gravity ${number(3)}${unit} (${number(2)} to ${number(4)})`
        : column(6) !== null ? `expected ${number(6)}${unit} (${number(5)} to ${number(7)})` : 'no gravity then';
    const degrees = (value) => `${value.toFixed(1)} ${show.temperatureUnit()}`;
    const at = i < 0 ? time : times[i];
    const j = nearest(this.warmth[0], at);
    const close = j >= 0 && Math.abs(this.warmth[0][j] - at) < kDay / 4 && typeof this.warmth[1][j] === 'number';
    const day = this.ambient.find((one) => at >= one.from && at <= one.to);
    const hold = this.series.holds.find((one) => one.from <= at && (one.to ?? Infinity) > at);
    const parts = [close ? `beer ${degrees(this.warmth[1][j])}` : 'beer not measured', hold && `plan ${show.temperature(hold.celsius)}`,
      day && `ambient ${day.low.toFixed(0)}–${day.high.toFixed(0)} ${show.temperatureUnit()}`].filter(Boolean);
    replaceContent(this.readout, h('p', null, h('b', null, show.moment(at)), i >= 0 && column(1) !== null ? ` · read as ${number(1)}${unit}` : ''), h('p', null, gravity), h('p', null, parts.join(' · ')));
  }

  // The readings, and a sign at the edge for each that is beyond it.
  drawReadings(u, c) {
    within(u, (ctx, bbox, px) => {
      ctx.fillStyle = c.raw;
      const bottom = bbox.top + bbox.height;
      this.gravity[0].forEach((time, i) => {
        const value = this.gravity[1][i];
        if (value === null || value === undefined) return;
        const x = u.valToPos(time, 'x', true);
        const y = u.valToPos(value, 'y', true);
        ctx.beginPath();
        if (y < bbox.top || y > bottom) {
          const [edge, inside] = y < bbox.top ? [bbox.top, 1] : [bottom, -1];
          ctx.moveTo(x, edge + inside * px);
          ctx.lineTo(x - 4 * px, edge + inside * 8 * px);
          ctx.lineTo(x + 4 * px, edge + inside * 8 * px);
        } else {
          ctx.arc(x, y, 1.8 * px, 0, 7);
        }
        ctx.fill();
      });
    });
  }

  drawAbove(u, c) {
    this.drawNow(u, c, 'now');
    within(u, (ctx, bbox, px) => {
      for (const mark of this.series.marks) {
        const x = Math.round(u.valToPos(mark.time, 'x', true));
        ctx.strokeStyle = c.mark;
        ctx.globalAlpha = 0.35;
        ctx.lineWidth = px;
        ctx.setLineDash([2 * px, 4 * px]);
        ctx.beginPath();
        ctx.moveTo(x, bbox.top);
        ctx.lineTo(x, bbox.top + bbox.height);
        ctx.stroke();
        ctx.globalAlpha = 1;
        if (mark.gravity === undefined) continue;
        const y = u.valToPos(show.gravityNumber(mark.gravity), 'y', true);
        diamond(ctx, x, Math.min(Math.max(y, bbox.top + 7 * px), bbox.top + bbox.height - 7 * px), c, px);
      }
      // Where it is expected to end.
      const last = this.fan.at(-1);
      if (!last || last.time > this.shown[1]) return;
      const text = show.gravity(last.value);
      const x = u.valToPos(last.time, 'x', true) - ctx.measureText(text).width;
      const y = u.valToPos(show.gravityNumber(last.high), 'y', true) - 7 * px;
      label(ctx, px, text, x, Math.max(y, bbox.top + 14 * px), c.gravity, c.paper);
    });
  }

  drawNow(u, c, text) {
    if (!(this.now > this.shown[0] && this.now < this.shown[1])) return;
    within(u, (ctx, bbox, px) => {
      const x = Math.round(u.valToPos(this.now, 'x', true));
      ctx.strokeStyle = c.soft;
      ctx.lineWidth = 1.5 * px;
      ctx.setLineDash([]);
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      if (!text) return;
      const right = x + 34 * px < bbox.left + bbox.width;
      ctx.textAlign = right ? 'left' : 'right';
      label(ctx, px, text, x + (right ? 5 : -5) * px, bbox.top + 12 * px, c.soft, c.paper);
    });
  }

  // The range of the yeast, and the cellar day by day.
  drawGround(u, c) {
    within(u, (ctx, bbox) => {
      const box = (from, to, low, high) => {
        const [left, right] = [from, to].map((time) => (time === null ? null : u.valToPos(time, 'x', true)));
        const [bottom, top] = [low, high].map((value) => u.valToPos(value, 'y', true));
        ctx.fillRect(left ?? bbox.left, top, (right ?? bbox.left + bbox.width) - (left ?? bbox.left), Math.max(bottom - top, 2 * devicePixelRatio));
      };
      ctx.fillStyle = c.range;
      const range = this.series.yeast_range;
      if (range) box(null, null, ...range.map(show.temperatureNumber));
      ctx.fillStyle = c['ambient-band'];
      for (const day of this.ambient) box(day.from, day.to, day.low, day.high);
    });
  }

  drawHolds(u, c) {
    this.drawNow(u, c, '');
    within(u, (ctx, bbox, px) => {
      for (const hold of this.series.holds) {
        const wanted = show.temperatureNumber(hold.celsius);
        const y = u.valToPos(wanted, 'y', true);
        const from = Math.max(u.valToPos(hold.from, 'x', true), bbox.left);
        const to = Math.min(hold.to === null ? bbox.left + bbox.width : u.valToPos(hold.to, 'x', true), bbox.left + bbox.width);
        if (to <= from) continue;
        ctx.strokeStyle = c.hold;
        ctx.lineWidth = 2 * px;
        ctx.setLineDash([10 * px, 4 * px]);
        ctx.beginPath();
        ctx.moveTo(from, y);
        ctx.lineTo(to, y);
        ctx.stroke();
        const text = `${hold.step}: ${show.temperature(hold.celsius)}`;
        const width = ctx.measureText(text).width;
        if (to - from < width + 10 * px) continue;
        // On the side where the beer is not.
        const [a, b] = [from, from + width].map((left) => u.posToVal(left / px - u.bbox.left / px, 'x'));
        const beer = this.warmth[1].filter((value, i) => typeof value === 'number' && this.warmth[0][i] >= a - kDay / 8 && this.warmth[0][i] <= b + kDay / 8);
        const mean = beer.reduce((sum, value) => sum + value, 0) / beer.length;
        const over = beer.length === 0 || mean < wanted;
        label(ctx, px, text, from + 5 * px, y + (over ? -7 : 16) * px, c.hold, c.paper);
      }
    });
  }

  // A button for what happened; what is too near for a finger has one together.
  placeMarks() {
    const [plot] = this.plots ?? [];
    if (!plot || !plot.over.clientWidth) return;
    const left = plot.bbox.left / devicePixelRatio;
    const groups = [];
    for (const mark of [...this.series.marks].sort((a, b) => a.time - b.time)) {
      if (mark.state === 'withdrawn') continue;
      const x = plot.valToPos(mark.time, 'x');
      if (x < -1 || x > plot.over.clientWidth + 1) continue;
      const last = groups.at(-1);
      if (last && x - last.x < kMarkWidth) last.marks.push(mark);
      else groups.push({ x, marks: [mark] });
    }
    replaceContent(this.marks, groups.map(({ x, marks }) => h('button', { type: 'button', class: 'mark', 'data-key': `mark-${marks[0].time}`,
      'data-x': Math.round(left + x), 'aria-label': marks.length > 1 ? `${marks.length} marks, ${show.moment(marks[0].time)}` : `${wordOf(marks[0])}, ${show.moment(marks[0].time)}`,
      onclick: () => this.tell(marks, x) }, marks.length > 1 ? String(marks.length) : kGlyphs[marks[0].what] ?? '•')));
    // An inline style that the policy of the page allows is one that a script sets.
    for (const button of this.marks.children) button.style.left = `${button.dataset.x}px`;
  }

  tell(marks, x) {
    const [plot] = this.plots;
    plot.setCursor({ left: x, top: plot.over.clientHeight / 2 });
    this.tip.replaceChildren(...marks.slice(-6).map((mark) => h('span', null, h('b', null, `${show.moment(mark.time)} `), mark.text)));
    this.tip.style.top = `${this.frame.offsetTop + 8}px`;
    this.tip.hidden = false;
  }
}

const wordOf = (mark) => ({ pitch: 'Pitched', alert: 'Alert', sample: 'Sample', note: 'Note', addition: 'Addition', packaged: 'Packaged' }[mark.what] ?? mark.what);

function diamond(ctx, x, y, c, px) {
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

// Drawn, not coloured in: also on paper, and in forced colours.
export function legend(kinds) {
  const shapes = {
    raw: () => [4, 11, 18].map((x, i) => svg('circle', { cx: x, cy: 4 + i * 2, r: 1.8 })),
    gravity: () => [svg('rect', { x: 0, y: 1, width: 22, height: 10 }), svg('path', { d: 'M0 6h22' })],
    ahead: () => [svg('path', { d: 'M0 6h22' })],
    temperature: () => [svg('path', { d: 'M0 6h22' })],
    ambient: () => [svg('rect', { x: 0, y: 1, width: 22, height: 10 })],
    hold: () => [svg('path', { d: 'M0 6h22' })],
    range: () => [svg('rect', { x: 0.5, y: 1.5, width: 21, height: 9 })],
  };
  return h('span', { class: 'legend', 'aria-hidden': 'true' }, kinds.map(([kind, text]) => h('span', null,
    svg('svg', { class: `swatch k-${kind}`, viewBox: '0 0 22 12' }, shapes[kind]()), text)));
}

export function nearest(times, time) {
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
export function inWords(series, batch, ahead) {
  const { view, spec } = batch;
  const known = series.gravity.filter((value) => value !== null);
  if (known.length === 0) return ['No gravity has been read yet.'];
  const sentences = [];
  const og = view.original_gravity_sg ?? known[0];
  const end = view.gravity_sg?.value ?? known.at(-1);  // the same number as beside it
  const least = Math.min(...known);
  sentences.push(`From ${show.moment(show.seconds(spec.pitched))} to ${show.moment(series.time.at(-1))} gravity went from ${show.gravity(og)} to ${show.gravity(end)}`
    + (view.attenuation !== undefined ? `, which is ${show.percent(view.attenuation)} attenuated.` : '.'));
  if (end - least > 0.002) sentences.push(`Its lowest was ${show.gravity(least)}.`);
  if (view.rate_points_per_day !== undefined && ahead) sentences.push(`It is ${show.fall(view.rate_points_per_day)}.`);
  const { final_gravity_sg: fg, final_time: when } = series.forecast ?? {};
  if (fg && when && when.value > series.time.at(-1) && ahead) {
    sentences.push(`It is expected to come to ${show.gravity(fg.value)}, between ${show.gravity(fg.low)} and ${show.gravity(fg.high)}, ${show.span(when.low, when.high)}.`);
  }
  const warm = series.temperature.value.filter((value) => value !== null);
  if (warm.length > 0) {
    sentences.push(`The beer was at ${show.temperatureRange(Math.min(...warm), Math.max(...warm))}, now ${show.temperature(warm.at(-1))}; its yeast has a range of ${show.temperatureRange(...series.yeast_range)}.`);
  }
  return sentences;
}
