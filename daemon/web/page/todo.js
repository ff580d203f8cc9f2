// What is known of a batch now, what is not, and what there is to do.
import * as show from './show.js';

const kDay = 86400;
const kSeverities = ['emergency', 'alert', 'critical', 'error', 'warning', 'notice'];

// A step is over when the beer is as warm as that; °C.
const kThere_celsius = 0.75;
// No sensor is silent after so little, however often it usually reports; and one whose rhythm is not known yet after so much.
const kLeast_s = 600;
const kUnknown_s = 3 * 3600;

const value = (list, what) => list.flatMap((sensor) => sensor.newest.filter((one) => what.includes(one.quantity)).map((one) => ({ ...one, sensor: sensor.sensor })));

// When gravity and temperature were last known, and whether that is too long ago to speak of now: older than twice the
// usual interval of the sensors that report it. {gravity: {time, stale}, temperature: {time, stale}}
export function freshness({ view, packaged }, sensors) {
  const usual = new Map(view.sensors.map((one) => [one.sensor, one.usual_interval_s]));
  const judged = (known, readings) => {
    const times = known === undefined ? readings.map((one) => show.seconds(one.time)) : [known];
    if (times.length === 0) return { time: undefined, stale: false };
    const time = Math.max(...times);
    const intervals = readings.map((one) => usual.get(one.sensor)).filter(Boolean);
    const allowed = intervals.length ? Math.max(2 * Math.min(...intervals), kLeast_s) : kUnknown_s;
    return { time, stale: !packaged && show.now() - time > allowed };
  };
  const gravity = judged(view.known && show.seconds(view.known), value(sensors, ['gravity', 'inclination']));
  gravity.stale ||= !packaged && show.isOld(view);
  return { gravity, temperature: judged(undefined, value(sensors, ['beer_temperature'])) };
}

// Alerts that are open, not acknowledged and not snoozed; newest first.
export function openAlerts(alerts) {
  return alerts.filter((alert) => alert.state === 'raised' && !alert.over && alert.severity !== 'informational'
    && !alert.acknowledged && !(alert.snoozed_until && show.seconds(alert.snoozed_until) > show.now())).reverse();
}

// Of a batch: of several steps that are due only the last, and none that the beer has taken already.
export function batchAlerts(batch, alerts) {
  const open = openAlerts(alerts);
  const last = Math.max(0, ...open.filter((alert) => alert.kind === 'step-due').map((alert) => alert.step));
  return open.filter((alert) => {
    if (alert.kind !== 'step-due') return true;
    if (alert.step < last) return false;
    const next = batch.spec?.plan[alert.step];
    const now = batch.view?.temperature_celsius;
    return !next || now === undefined || Math.abs(now - next.hold_celsius) > kThere_celsius;
  });
}

export const weight = (alert) => kSeverities.indexOf(alert.severity);
export const level = (alert) => (weight(alert) < 4 ? 'grave' : weight(alert) === 4 ? 'warning' : 'notice');

// What there is to do, and when: {what, when, between, urgent}. `ready`: when it can be packaged, as the daemon expects.
export function nextThing(batch, alerts, fresh, ready) {
  const { view, spec } = batch;
  const due = alerts.find((alert) => alert.kind === 'step-due');
  const hold = due ? spec.plan[due.step] : null;
  if (hold) return { what: `Bring it to ${show.temperature(hold.hold_celsius)}`, when: 'now', urgent: true };
  if (show.isOld(view)) {
    return { what: 'Find out why its hydrometer is silent, or measure a sample', when: 'now', urgent: true,
      between: `no gravity since ${show.moment(show.seconds(view.known))}` };
  }
  if (fresh.gravity.stale) return { what: 'Wait for a new gravity', when: '', between: 'the last is older than usual, so nothing is said about what comes' };
  if (view.stage === 'stuck') return { what: 'It stopped early: see what it needs', when: 'now', urgent: true };
  if (view.final_gravity_since) return { what: 'Package it', when: 'when you like', between: `stable since ${show.moment(show.seconds(view.final_gravity_since))}` };
  const { forecast } = view;
  const following = forecast.step ? spec.plan[forecast.step] : null;
  if (forecast.step_time && following) return timed(`Bring it to ${show.temperature(following.hold_celsius)}`, forecast.step_time);
  if (ready) return timed('Stable and ready to package', ready);
  if (view.stage === 'lag') return { what: 'Wait for it to start', when: '' };
  return { what: 'Nothing to do', when: '', between: 'too early for a forecast' };
}

function timed(what, interval) {
  const [at, low, high] = [interval.value, interval.low, interval.high].map(show.seconds);
  if (high <= show.now()) return { what, when: 'any time now' };
  return { what, when: `${show.ahead(at)}, ${high - low < 4 * kDay ? show.moment(at) : show.day(at)}`, between: `${show.span(low, high)} (8 in 10)` };
}

export function sensorTroubles(health) {
  const list = [];
  if (health.silent) list.push('silent');
  if (health.frozen) list.push('shows the same value all the time');
  if (health.implausible) list.push('reports what cannot be true');
  if (health.battery_low) list.push('battery low');
  if (health.clock_off_s) list.push('clock wrong');
  return list;
}

// One batch of the cellar with all that is concluded about it. `rank`: the lower, the sooner it wants to be seen.
export function conclude(place, vessels) {
  const { batch } = place;
  const alerts = batchAlerts(batch, place.alerts);
  const sensors = vessels.find((vessel) => vessel.name === batch.vessel)?.sensors ?? [];
  if (batch.unreadable) return { ...place, alerts, sensors, rank: 1, todo: 1, well: false };
  const fresh = freshness(batch, sensors);
  const next = nextThing(batch, alerts, fresh, place.ready_time);
  const troubled = batch.view.sensors.some((sensor) => sensorTroubles(sensor).length > 0);
  const waits = place.set_point?.state === 'awaits-yes';
  const ranks = [...alerts.map((alert) => Math.min(weight(alert), 5)), ...(fresh.gravity.stale || fresh.temperature.stale || troubled ? [4.5] : []),
    ...(waits || place.trouble ? [5] : [])];
  return { ...place, alerts, sensors, fresh, next, rank: Math.min(9, ...ranks), todo: alerts.length + (waits ? 1 : 0),
    well: ranks.length === 0 && !next.urgent };
}

export function firstSentence(text) {
  const end = text.search(/[.!?] \p{Lu}/u);
  return end < 0 ? [text, ''] : [text.slice(0, end + 1), text.slice(end + 2)];
}
