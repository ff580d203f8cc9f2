// Fields of the forms: times, and numbers in the brewer's units with the unit that the API wants.
import { h } from './dom.js';
import { field } from './sheet.js';
import * as show from './show.js';

// A time that is now unless it is changed. whenOf() is null for now.
export function whenField(label = 'When', time = show.now(), name = 'when') {
  const value = show.inField(time);
  return field(name, label, { type: 'datetime-local', value, 'data-now': value, required: true });
}
export function whenOf(form, name = 'when') {
  const text = form.get(name);
  if (!text || text === document.querySelector(`dialog[open] [name=${name}]`)?.dataset.now) return null;
  return show.rfc3339(show.fromField(text));
}

const isPlato = () => show.gravityUnit() === '°P';
const decimal = (text) => (text ?? '').trim().replace(',', '.');

const number = { inputmode: 'decimal', autocomplete: 'off' };
export const gravityLabel = (label) => (isPlato() ? `${label} in °P` : label);
export const temperatureLabel = (label) => `${label} in ${show.temperatureUnit()}`;
export const volumeUnit = () => (show.isGallons() ? 'gal' : 'L');
export const volumeLabel = (label) => `${label} in ${volumeUnit()}`;

export const numberField = (name, label, attributes) => field(name, label, { ...number, ...attributes });
export const volumeField = (name, label, attributes) => numberField(name, volumeLabel(label), attributes);
export const gravityField = (name, label, attributes) => numberField(name, gravityLabel(label), { placeholder: isPlato() ? '12.5' : '1.050', ...attributes });

// What such a field holds, as the API reads it; "" when it is empty.
export const numberOf = (form, name) => decimal(form.get(name));
const withUnit = (text, unit) => (text && unit ? `${text} ${unit}` : text);
export const gravityOf = (form, name) => withUnit(numberOf(form, name), isPlato() && 'P');
export const temperatureOf = (form, name) => withUnit(numberOf(form, name), show.temperatureUnit() === '°F' ? 'F' : 'Cel');
export const volumeOf = (form, name) => withUnit(numberOf(form, name), volumeUnit());

// A canonical value as it stands in such a field.
export const inGravity = (sg) => (sg === undefined ? '' : show.gravityNumber(sg).toFixed(isPlato() ? 1 : 4).replace(/^(1\.\d{3})0$/, '$1'));
export const inTemperature = (celsius) => (celsius === undefined ? '' : String(Math.round(show.temperatureNumber(celsius) * 10) / 10));
export const inVolume = (litres) => (litres === undefined ? '' : String(Math.round((show.isGallons() ? litres / 3.785411784 : litres) * 100) / 100));

export function choice(name, label, options, attributes) {
  const id = `field-${name}`;
  return h('p', { class: 'field' }, h('label', { for: id }, label),
    h('select', { id, name, ...attributes }, options.map(([value, text, selected]) => h('option', { value, selected }, text))));
}

// One of few, side by side.
export function pick(name, legend, options) {
  return h('fieldset', { class: 'choice' }, h('legend', null, legend), h('div', { class: 'picks' },
    options.map(([value, text], i) => h('label', { class: 'pick' }, h('input', { type: 'radio', name, value, checked: i === 0 }), text))));
}

// The parts of a query that are not empty.
export function query(parts) {
  const text = new URLSearchParams(Object.entries(parts).filter(([, value]) => value)).toString();
  return text && `?${text}`;
}

export const caution = (text) => h('p', { class: 'alert warning', role: 'note' }, text);

// What an act answers that has to be read: it stays until it is closed.
export const lines = (list) => h('ul', { class: 'plain answer' }, list.map((line) => h('li', null, line.trim())));
