// Canonical numbers and times as this brewer reads them, each with its unit. wording/format.h does the same for the
// sentences that the daemon makes.

let display = { gravity: 'SG', temperature: 'Cel', time_zone: 'UTC' };
let clock = { daemon: 0, here: 0 };

export function setDisplay(settings) { display = settings; }
export const settings = () => display;

// By the daemon's clock, not the phone's. Seconds since the epoch.
export function setNow(rfc3339, later_s = 0) { clock = { daemon: seconds(rfc3339) + later_s, here: performance.now() }; }
export const now = () => clock.daemon + (performance.now() - clock.here) / 1000;

export const seconds = (time) => (typeof time === 'string' ? Date.parse(time) / 1000 : time);

// Degrees Plato of a specific gravity 20/20 degC: the polynomial of units/gravity.cpp.
const plato = (sg) => ((182.46007 * sg - 775.68212) * sg + 1262.7794) * sg - 669.56218;
const isPlato = () => display.gravity === 'P';

export const gravityNumber = (sg) => (isPlato() ? plato(sg) : sg);
export const gravityUnit = () => (isPlato() ? '°P' : 'SG');
export function gravity(sg, decimals = 3) {
  return isPlato() ? `${plato(sg).toFixed(decimals - 2)} °P` : sg.toFixed(decimals);
}
const halfWidth = (interval) => (interval.high - interval.low) / 2;
export function gravityDoubt(interval) {
  if (!isPlato()) return `± ${halfWidth(interval).toFixed(4)}`;
  return `± ${((plato(interval.high) - plato(interval.low)) / 2).toFixed(1)} °P`;
}
export const fallWord = (pointsPerDay) => (Math.abs(pointsPerDay) < 0.5 ? 'holding still' : pointsPerDay < 0 ? 'falling' : 'rising');
export function fallAmount(pointsPerDay) {
  const size = Math.abs(pointsPerDay);
  return `${isPlato() ? `${(size * 0.255).toFixed(1)} °P` : `${size.toFixed(size < 10 ? 1 : 0)} points`} a day`;
}
export function fall(pointsPerDay) {
  const word = fallWord(pointsPerDay);
  return word === 'holding still' ? word : `${word} ${fallAmount(pointsPerDay)}`;
}

const isFahrenheit = () => display.temperature === 'F';
export const temperatureNumber = (celsius) => (isFahrenheit() ? celsius * 1.8 + 32 : celsius);
export const temperatureUnit = () => (isFahrenheit() ? '°F' : '°C');
const bare = (celsius) => String(Math.round(temperatureNumber(celsius) * 10) / 10);
export const temperature = (celsius) => `${bare(celsius)} ${temperatureUnit()}`;
export const temperatureRange = (low, high, between = ' to ') => `${bare(low)}${between}${bare(high)} ${temperatureUnit()}`;

export const isGallons = () => display.volume === 'gal';
const trimmed = (value, digits) => String(Number(value.toFixed(digits)));
export const volume = (litres) => (isGallons() ? `${trimmed(litres / 3.785411784, 2)} gal` : `${trimmed(litres, 1)} L`);
export function mass(kg) {
  if (isGallons()) return kg < 0.45359237 ? `${trimmed(kg / 0.028349523, 2)} oz` : `${trimmed(kg / 0.45359237, 2)} lb`;
  return kg < 1 ? `${trimmed(kg * 1000, kg < 0.01 ? 1 : 0)} g` : `${trimmed(kg, 2)} kg`;
}
// "250 g of sugar", "2 kg of fruit (10 % sugar)".
export const addition = ({ what, kg, litres, sugar_share: share }) => `${litres === undefined ? mass(kg) : volume(litres)} of ${what.replace('-', ' ')}${share ? ` (${percent(share)} sugar)` : ''}`;

export const percent = (fraction) => `${Math.round(fraction * 100)} %`;

const formats = new Map();
function format(time, options) {
  const key = JSON.stringify(options) + display.time_zone;
  if (!formats.has(key)) {
    try {
      formats.set(key, new Intl.DateTimeFormat('en-GB', { ...options, timeZone: display.time_zone }));
    } catch {  // a zone this browser does not know
      formats.set(key, new Intl.DateTimeFormat('en-GB', { ...options, timeZone: 'UTC' }));
    }
  }
  return formats.get(key).format(new Date(time * 1000)).replace(/,/g, '');
}
const yearOf = (time) => format(time, { year: 'numeric' });
// With the year when it is another.
export const day = (time) => format(time, {
  weekday: 'short', day: 'numeric', month: 'short', ...(yearOf(time) !== yearOf(now()) && { year: 'numeric' }),
});
export const hour = (time) => format(time, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
// "Mon 18:20"; the date, too, when it is a week ago or more.
export const shortMoment = (time) => (now() - time < 6 * 86400 ? `${format(time, { weekday: 'short' })} ${hour(time)}` : moment(time));
export const moment = (time) => `${day(time)} ${hour(time)}`;
export const month = (time) => format(time, { month: 'short' });
export const shortDay = (time) => format(time, { weekday: 'short', day: 'numeric' });

// "between Thu 26 Nov 14:30 and Fri 27 Nov 17:24", with the hours when that is shorter than a day and a half.
export function span(low, high) {
  const one = seconds(high) - seconds(low) < 1.5 * 86400 ? moment : day;
  const [a, b] = [one(seconds(low)), one(seconds(high))];
  return a === b ? `on ${a}` : `between ${a} and ${b}`;
}

export function length(span_s) {
  const s = Math.abs(span_s);
  if (s < 3600) return `${Math.round(s / 60)} min`;
  if (s < 36 * 3600) return `${Math.round(s / 3600)} h`;
  return `${Math.round(s / 86400)} days`;
}
export function ago(time) {
  const since = now() - seconds(time);
  return since < 60 ? 'just now' : `${length(since)} ago`;
}
export const ahead = (time) => (time - now() < 60 ? 'now' : `in ${length(time - now())}`);

const words = {
  lag: 'Not started', active: 'Fermenting', slowing: 'Slowing down', finished: 'Finished', stuck: 'Stuck',
};
// Its last known gravity is too old to describe the present.
export const isOld = (view) => Boolean(view.current_until) && now() > seconds(view.current_until);
export function stage(view) {
  const word = view.stage === 'finished' && view.final_gravity_since ? 'Final gravity, stable' : words[view.stage] ?? view.stage;
  return isOld(view) ? `${word}, as of ${moment(seconds(view.known))}` : word;
}
export const stageWord = (name) => words[name] ?? name;

export function dayOf(batch) {
  const end = batch.packaged ? seconds(batch.packaged) : now();
  return Math.max(1, Math.floor((end - seconds(batch.spec.pitched)) / 86400) + 1);
}

// For a field of type datetime-local, in the brewer's time zone and not the phone's: "2026-03-01T18:30"; and back.
export function inField(time) {
  const part = Object.fromEntries(zoned().formatToParts(new Date(time * 1000)).map(({ type, value }) => [type, value]));
  return `${part.year}-${part.month}-${part.day}T${part.hour}:${part.minute}`;
}
export function fromField(text) {
  const wanted = Date.parse(`${text}:00Z`) / 1000;
  if (Number.isNaN(wanted)) return null;
  const off = (time) => Date.parse(`${inField(time)}:00Z`) / 1000 - time;
  const time = wanted - off(wanted - off(wanted));
  return Math.round(time);
}
function zoned() {
  const options = { year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', hourCycle: 'h23' };
  try {
    return new Intl.DateTimeFormat('en-GB', { ...options, timeZone: display.time_zone });
  } catch {  // a zone this browser does not know
    return new Intl.DateTimeFormat('en-GB', { ...options, timeZone: 'UTC' });
  }
}
export const rfc3339 = (time) => new Date(time * 1000).toISOString();
