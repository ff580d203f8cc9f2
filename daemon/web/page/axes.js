// What the charts share: colours, ticks, labels.
import { Refused } from './session.js';
import * as show from './show.js';

const kDay = 86400;

// uPlot, which may come after what needs no chart.
export function chartLibrary() {
  if (globalThis.uPlot) return Promise.resolve();
  const script = document.getElementById('chart-library');
  return new Promise((resolve, reject) => {
    script.addEventListener('load', resolve);
    script.addEventListener('error', () => reject(new Refused(0, 'The charts cannot be loaded.')));
  });
}

export function colours() {
  const style = getComputedStyle(document.documentElement);
  const names = ['ink', 'soft', 'grid', 'gravity', 'raw', 'band', 'fan', 'fan-edge', 'ahead', 'temperature', 'ambient', 'ambient-band', 'range', 'hold', 'mark', 'paper',
    'line-0', 'line-1', 'line-2', 'line-3', 'line-4', 'line-5'];
  return Object.fromEntries(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}

export const font = '13px system-ui, sans-serif';

export const timeSteps = [60, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, kDay, 2 * kDay, 3 * kDay, 7 * kDay, 14 * kDay, 28 * kDay];

// Days, or hours where there is room; below the first, and below each that begins a new one, the month or the day.
export function timeLabels(u, splits, axis, space, step) {
  let before = '';
  return splits.map((time) => {
    const days = step >= kDay;
    const around = days ? show.month(time) : show.day(time);
    const text = (days ? show.shortDay(time) : show.hour(time)) + (around === before ? '' : `\n${around}`);
    before = around;
    return text;
  });
}

// 1, 2 and 5 times powers of ten.
export const roundSteps = (least, most) => {
  const steps = [];
  for (let power = Math.round(Math.log10(least)); 10 ** power <= most; power += 1) {
    for (const first of [1, 2, 5]) steps.push(Number((first * 10 ** power).toPrecision(1)));
  }
  return steps;
};

export function axis(c, more) {
  return { stroke: c.soft, font, grid: { stroke: c.grid, width: 1 }, ticks: { stroke: c.grid, width: 1, size: 4 }, ...more };
}

export const gravityAxis = (c) => axis(c, { size: 56, space: 36, incrs: show.gravityUnit() === 'SG' ? roundSteps(0.0001, 0.1) : roundSteps(0.1, 10),
  values: (u, splits, i, space, step) => splits.map((v) => v.toFixed(show.gravityUnit() === '°P' ? (step < 1 ? 1 : 0) : step < 0.001 ? 4 : 3)) });

export const temperatureAxis = (c) => axis(c, { size: 56, space: 30, incrs: roundSteps(0.1, 50),
  values: (u, splits, i, space, step) => splits.map((v) => `${v.toFixed(step < 1 ? 1 : 0)}°`) });

// Room around values; no less than `least` from bottom to top.
export function spread(min, max, least) {
  if (!(min <= max)) return [0, least];
  const room = Math.max((max - min) * 0.08, (least - (max - min)) / 2);
  return [min - room, max + room];
}

export const leastGravity = () => (show.gravityUnit() === 'SG' ? 0.004 : 1);
export const leastTemperature = () => (show.temperatureUnit() === '°F' ? 9 : 5);

// Draws with a font and a clip of the plot.
export function within(u, draw) {
  const { ctx, bbox } = u;
  const px = devicePixelRatio;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.font = `${12 * px}px system-ui, sans-serif`;
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
  draw(ctx, bbox, px);
  ctx.restore();
}

// A text with the ground of the page around its letters, so that no line runs through it.
export function label(ctx, px, text, x, y, colour, ground) {
  ctx.setLineDash([]);
  ctx.lineJoin = 'round';
  ctx.lineWidth = 4 * px;
  ctx.strokeStyle = ground;
  ctx.strokeText(text, x, y);
  ctx.fillStyle = colour;
  ctx.fillText(text, x, y);
}

// Charts are drawn again when their colours change: light, dark, forced, printed.
export function whenColoursChange(draw) {
  const root = document.documentElement;
  const print = (on) => () => { if (on) root.dataset.ink = 'light'; else delete root.dataset.ink; draw(); };
  const [begin, end] = [print(true), print(false)];
  const printed = matchMedia('print');
  const onPrint = () => (printed.matches ? begin() : end());
  const queries = ['(prefers-color-scheme: dark)', '(forced-colors: active)'].map((query) => matchMedia(query));
  for (const query of queries) query.addEventListener('change', draw);
  printed.addEventListener('change', onPrint);
  addEventListener('beforeprint', begin);
  addEventListener('afterprint', end);
  return () => {
    for (const query of queries) query.removeEventListener('change', draw);
    printed.removeEventListener('change', onPrint);
    removeEventListener('beforeprint', begin);
    removeEventListener('afterprint', end);
  };
}
