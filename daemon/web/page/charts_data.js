// Turns a batch's series from the API into the columns of a chart.

const kDay = 86400;

// The way to the final gravity, with its fan, as the daemon draws it in reports too: [{time, value, low, high}...]. Empty
// without a forecast.
export function forecastFan(series) {
  const path = series.forecast?.path ?? { time: [] };
  return path.time.map((time, i) => ({ time, value: path.gravity[i], low: path.low[i], high: path.high[i] }));
}

// [time, raw, low, gravity, high, forecast low, forecast, forecast high], the fan behind what is known.
export function gravityColumns(series, fan, number) {
  const known = series.time.length;
  const shown = (value) => (value === null || value === undefined ? null : number(value));
  const blank = (count) => new Array(count).fill(null);
  // The fan begins where the curve ends, unless only an earlier part of the curve is here.
  const joined = fan.length > 0 && known > 0 && fan[0].time - series.time[known - 1] < 2;
  const tail = joined ? fan.slice(1) : fan;
  const first = (key) => (joined ? [...blank(known - 1), number(fan[0][key])] : blank(known));
  const column = (list) => [...list.map(shown), ...blank(tail.length)];
  const ahead = (key) => [...first(key), ...tail.map((point) => number(point[key]))];
  return [
    [...series.time, ...tail.map((point) => point.time)],
    column(series.raw), column(series.low), column(series.gravity), column(series.high),
    ahead('low'), ahead('value'), ahead('high'),
  ];
}

// The coldest and the warmest of each day around the vessel: [{from, to, low, high}...]. dayOf(time) names a day.
export function ambientDays(ambient, number, dayOf) {
  const days = new Map();
  (ambient?.time ?? []).forEach((time, i) => {
    if (ambient.value[i] === null) return;
    const value = number(ambient.value[i]);
    const day = days.get(dayOf(time)) ?? { from: time, to: time, low: value, high: value };
    days.set(dayOf(time), { from: day.from, to: time, low: Math.min(day.low, value), high: Math.max(day.high, value) });
  });
  const list = [...days.values()];
  // Each reaches to the next.
  list.forEach((day, i) => { if (i + 1 < list.length && list[i + 1].from - day.to < kDay) day.to = list[i + 1].from; });
  return list;
}

// Several batches on the days since the `zero` of each, {times, values} each:
// [days, values of the first, of the second, ...].
export function comparedColumns(lines) {
  const rows = lines.map(({ times, zero }) => times.map((time) => (time - zero) / kDay));
  const days = [...new Set(rows.flat())].sort((a, b) => a - b);
  const columns = lines.map(({ values }, k) => {
    const known = new Map(rows[k].map((one, i) => [one, values[i]]));
    return days.map((one) => known.get(one));
  });
  return [days, ...columns];
}
