// Turns a batch's series from the API into the columns of a chart.

const kDay = 86400;

// The forecast from now to the final gravity, with its fan: [{time, value, low, high}...]. The API gives where
// it ends and when it is within 0.0005 SG of that; between, what is left shrinks by the same share in the same time. Empty
// when there is no forecast or it is in the past.
export function forecastFan(series) {
  const { final_gravity_sg: end, final_time: when } = series.forecast ?? {};
  const last = series.gravity.length - 1;
  if (last < 0 || !end || !when || when.value <= series.time[last]) return [];
  const start = series.time[last];
  const path = (from, to, at) => {
    const left = from - to;
    if (left <= 0.0005 || at <= start) return () => to;
    const speed = Math.log(left / 0.0005) / (at - start);
    return (time) => to + left * Math.exp(-speed * (time - start));
  };
  const value = path(series.gravity[last], end.value, when.value);
  const low = path(series.low[last], end.low, when.low);
  const high = path(series.high[last], end.high, when.high);
  const until = Math.min(when.high + kDay / 2, start + 30 * kDay);
  const points = [];
  for (let i = 0; i <= 60; ++i) {
    const time = start + ((until - start) * i) / 60;
    const [a, b, c] = [low(time), value(time), high(time)];
    points.push({ time, value: b, low: Math.min(a, b), high: Math.max(c, b) });
  }
  points[0] = { time: start, value: series.gravity[last], low: series.low[last], high: series.high[last] };
  return points;
}

// [time, raw, low, gravity, high, forecast low, forecast, forecast high], the fan behind what is known.
export function gravityColumns(series, fan, number) {
  const known = series.time.length;
  const shown = (value) => (value === null || value === undefined ? null : number(value));
  const blank = (count) => new Array(count).fill(null);
  // The fan begins where the curve ends, so its first point shares that time.
  const tail = fan.slice(1);
  const joined = (list) => [...list.map(shown), ...blank(tail.length)];
  const ahead = (key) => (fan.length ? [...blank(known - 1), ...fan.map((point) => number(point[key]))] : blank(known));
  return [
    [...series.time, ...tail.map((point) => point.time)],
    joined(series.raw), joined(series.low), joined(series.gravity), joined(series.high),
    ahead('low'), ahead('value'), ahead('high'),
  ];
}

// Both temperatures on the times of either.
export function temperatureColumns(series, number) {
  const times = [...new Set([...series.temperature.time, ...(series.ambient?.time ?? [])])].sort((a, b) => a - b);
  const on = (one) => {
    const known = new Map((one?.time ?? []).map((time, i) => [time, one.value[i]]));
    // undefined: not measured then, the line goes on; null: a gap.
    return times.map((time) => { const v = known.get(time); return v === null || v === undefined ? v : number(v); });
  };
  return [times, on(series.temperature), on(series.ambient)];
}

// Several batches on the days since the `zero` of each: [days, gravity of the first, of the second, ...].
export function comparedColumns(batches, number) {
  const rows = batches.map(({ series, zero }) => series.time.map((time) => (time - zero) / kDay));
  const days = [...new Set(rows.flat())].sort((a, b) => a - b);
  const columns = batches.map(({ series }, k) => {
    const known = new Map(rows[k].map((one, i) => [one, series.gravity[i]]));
    return days.map((one) => { const v = known.get(one); return v === null || v === undefined ? v : number(v); });
  });
  return [days, ...columns];
}
