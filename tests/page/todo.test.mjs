// What the page concludes about a batch, without a browser.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { setNow } from './page/show.js';
import { batchAlerts, conclude, freshness, nextThing } from './page/todo.js';

const kNow = '2026-11-24T18:00:00Z';
const at = (hours) => new Date(Date.parse(kNow) + hours * 3600e3).toISOString();
setNow(kNow);

const due = (step) => ({ id: step, kind: 'step-due', step, severity: 'notice', state: 'raised', over: false, time: at(-5), text: 'Warm it.' });
const batch = (celsius, more = {}) => ({
  id: 7, vessel: 'left', name: 'Amber no. 12',
  spec: { pitched: at(-90), plan: [17, 20, 4].map((hold_celsius) => ({ hold_celsius, until: { days: 3 } })), yeast: { attenuation_low: 0.7, attenuation_high: 0.8 }, final_gravity: { window_hours: 48 } },
  view: { stage: 'active', gravity_sg: { value: 1.02, low: 1.019, high: 1.021 }, known: at(-0.1), current_until: at(6), temperature_celsius: celsius, rate_points_per_day: -9,
    forecast: { step: 1, step_time: { value: at(20), low: at(10), high: at(30) } }, sensors: [{ sensor: 'float', usual_interval_s: 900 }, { sensor: 'probe', usual_interval_s: 60 }], ...more },
});
const sensors = (gravity_h, beer_h) => [
  { sensor: 'float', newest: [{ time: at(gravity_h), quantity: 'gravity', value: 1.02 }] },
  { sensor: 'probe', newest: [{ time: at(beer_h), quantity: 'beer_temperature', value: 17 }] },
];

test('of holds that exclude each other only the last is to be done, and none that the beer has', () => {
  assert.deepEqual(batchAlerts(batch(17), [due(1), due(2)]).map((alert) => alert.step), [2]);
  assert.deepEqual(batchAlerts(batch(17), [due(1)]).map((alert) => alert.step), [1]);
  assert.deepEqual(batchAlerts(batch(19.4), [due(1)]), []);
  assert.deepEqual(batchAlerts(batch(undefined), [due(1)]).map((alert) => alert.step), [1]);
});

test('a value is old after twice the usual interval of the sensor that gives it', () => {
  const judged = (gravity_h, beer_h) => {
    const { gravity, temperature } = freshness(batch(17, { known: at(gravity_h) }), sensors(gravity_h, beer_h));
    return [gravity.stale, temperature.stale];
  };
  assert.deepEqual(judged(-0.4, -0.1), [false, false]);
  assert.deepEqual(judged(-0.6, -0.1), [true, false]);
  assert.deepEqual(judged(-0.4, -0.2), [false, true]);
  assert.equal(freshness({ ...batch(17, { known: at(-400) }), packaged: at(-399) }, sensors(-400, -400)).gravity.stale, false);
});

test('of what is old nothing is said about what comes', () => {
  const stable = batch(20, { final_gravity_since: at(-9), known: at(-3) });
  const next = (one, list) => nextThing(one, [], freshness(one, list));
  assert.equal(next(stable, sensors(-3, -3)).what, 'Wait for a new gravity');
  assert.equal(next(batch(20, { final_gravity_since: at(-9) }), sensors(-0.1, -0.1)).what, 'Package it');
  assert.match(next(batch(17, { known: at(-9), current_until: at(-3) }), sensors(-9, -9)).what, /silent/);
  assert.match(next(batch(17), sensors(-0.1, -0.1)).what, /^Bring it to 20/);
});

test('when it is ready is what the daemon expects, not the end and a window', () => {
  const list = sensors(-0.1, -0.1);
  const one = batch(20, { forecast: { final_time: { value: at(20), low: at(10), high: at(30) } } });
  const fresh = freshness(one, list);
  assert.match(nextThing(one, [], fresh, { value: at(90), low: at(70), high: at(120) }).when, /^in 4 days, /);
  assert.equal(nextThing(one, [], fresh).what, 'Nothing to do');
});

test('worst first, and a line only where all is well', () => {
  const place = (more) => conclude({ batch: batch(17), alerts: [], ...more }, [{ name: 'left', sensors: sensors(-0.1, -0.02) }]);
  const stuck = { ...due(1), kind: 'stuck', severity: 'warning' };
  const ranks = [place({ alerts: [stuck] }), place({ batch: batch(17, { known: at(-2) }) }), place({ alerts: [due(1)] }), place({})];
  assert.deepEqual(ranks.map((one) => one.well), [false, false, false, true]);
  // The second has an old gravity; its sensors are as in the others.
  assert.ok(ranks[0].rank < ranks[2].rank && ranks[2].rank < ranks[3].rank);
  assert.deepEqual(ranks.map((one) => one.todo), [1, 0, 1, 0]);
  assert.equal(place({ set_point: { state: 'awaits-yes' } }).todo, 1);
  const unreadable = conclude({ batch: { id: 9, vessel: 'attic', name: 'Attic stout', unreadable: 'no key' }, alerts: [] }, []);
  assert.ok(unreadable.rank < ranks[2].rank);
});
