// The yeast goes into an empty vessel: by a recipe, or by hand.
import { bdi, h } from './dom.js';
import { caution, choice, gravityField, gravityOf, inGravity, inTemperature, inVolume, lines, numberField, temperatureLabel, temperatureOf, volumeField, volumeOf, whenField, whenOf } from './fields.js';
import { act, ask, sentence } from './session.js';
import { field, openForm } from './sheet.js';
import * as show from './show.js';

const kGasCaution = 'Leave the gas a way out: an airlock or a blow-off tube that is free. A vessel that is closed tight can burst.';

export const pitch = {
  key: 'pitch',
  title: 'Pitch',
  offered: () => false,
  forVessel: () => true,
  open({ vessel }) {
    let given = {};  // what the recipe says beside what the fields hold
    const holds = h('div', { class: 'stack' });
    const history = h('div', { class: 'hint yeast-record', 'aria-live': 'polite' });
    const known = h('datalist', { id: 'yeasts' });
    ask('/v1/yeasts').then(({ yeasts }) => known.replaceChildren(...yeasts.map(({ name }) => h('option', { value: name }))), () => {});
    const look = (name) => ask(`/v1/yeasts/${encodeURIComponent(name)}`).then((answer) => lines(answer.lines),
      (error) => (error.status === 404 ? 'No batch with this yeast yet.' : sentence(error.message))).then((said) => history.replaceChildren(said));
    const put = (made) => {
      given = { yeast: made.spec.yeast, attenuation: made.attenuation_given, finalGravity: made.spec.final_gravity };
      const at = (name, value) => { form.querySelector(`[name=${name}]`).value = value; };
      at('name', made.spec.name);
      at('og', inGravity(made.spec.original_gravity_sg));
      at('volume', inVolume(made.spec.volume_l));
      at('yeast', made.spec.yeast.name);
      at('low', inTemperature(made.spec.yeast.temperature_low_celsius));
      at('high', inTemperature(made.spec.yeast.temperature_high_celsius));
      holds.replaceChildren(...made.spec.plan.map(holdRow));
      form.querySelector('.estimate').hidden = false;
      if (made.spec.yeast.name) look(made.spec.yeast.name);
    };
    const read = async (text) => {
      const made = await act('/v1/recipes/batch', { body: text, type: 'application/toml', done: 'The recipe is read.' });
      if (made) { put(made); form.querySelector('.by-recipe').open = false; form.querySelector('[name=og]').select(); }
    };
    const dialog = openForm('Pitch', {
      hint: ['Into ', bdi(vessel.name), '. The watch begins when the yeast goes in.'],
      fields: [
        h('details', { class: 'by-recipe' }, h('summary', null, 'By a recipe'), h('div', { class: 'stack' },
          h('p', { class: 'field' }, h('label', { for: 'field-file' }, 'The file of the recipe'), h('input', { id: 'field-file', type: 'file', accept: '.toml,text/*',
            onchange: async (event) => { const [file] = event.target.files; if (file) read(await file.text()); } })),
          field('recipe', 'or its text', { rows: 4, spellcheck: 'false', class: 'code' }, 'textarea'),
          h('button', { type: 'button', onclick: () => read(form.querySelector('[name=recipe]').value) }, 'Read it'))),
        field('name', 'Name', { required: true, maxlength: 200, autocomplete: 'off', dir: 'auto' }),
        h('div', { class: 'two' }, gravityField('og', 'Original gravity'), volumeField('volume', 'Volume')),
        h('p', { class: 'hint estimate', hidden: true }, 'The gravity is the recipe’s estimate: enter the measured one.'),
        field('yeast', 'Yeast', { list: 'yeasts', autocomplete: 'off', onchange: (event) => { given.attenuation = false; if (event.target.value.trim()) look(event.target.value.trim()); } }),
        known, history,
        h('div', { class: 'two' }, numberField('low', `Yeast works from, ${show.temperatureUnit()}`, { placeholder: inTemperature(16) }), numberField('high', `and up to, ${show.temperatureUnit()}`, { placeholder: inTemperature(22) })),
        h('fieldset', { class: 'choice' }, h('legend', null, 'Temperature plan'), holds,
          h('button', { type: 'button', onclick: () => { holds.append(holdRow()); holds.lastChild.querySelector('input').focus(); } }, 'Add a hold')),
        whenField('Pitched'),
        caution(kGasCaution),
      ],
      button: 'Pitch',
      send: (form) => act(`/v1/batches?vessel=${encodeURIComponent(vessel.name)}`, { body: description(form, holds, given), type: 'application/toml', done: 'Pitched.' }),
      after: (answer, close, form) => form.replaceChildren(h('p', null, bdi(answer.name), ' is in ', bdi(answer.vessel), '.'), answer.band && h('p', null, answer.band) || '',
        answer.caution ? caution(answer.caution) : '',
        h('div', { class: 'row' }, h('a', { class: 'button', href: `#/batch/${answer.id}`, onclick: close }, 'See the batch'), h('button', { type: 'button', class: 'main', onclick: close }, 'Close'))),
    });
    const form = dialog.querySelector('form');
  },
};

const kEnds = [['final-gravity', 'final gravity is stable'], ['progress', '% of the expected fall'], ['attenuation', '% attenuation'], ['days', 'days have passed'], ['gravity', 'this gravity']];
let rows = 0;
function holdRow(hold) {
  const id = rows += 1;
  const until = hold?.until ?? 'final-gravity';
  const [kind, value] = typeof until === 'string' ? [until, ''] : Object.entries(until)[0];
  const of = kind.replace('_sg', '');
  const shown = ['progress', 'attenuation'].includes(of) ? String(Math.round(value * 1000) / 10) : of === 'gravity' ? inGravity(value) : String(value);
  const number = numberField(`end-${id}`, 'How much', { value: shown, 'data-end': true });
  const needs = (which) => { number.hidden = which === 'final-gravity'; number.lastChild.required = which !== 'final-gravity'; };
  const ends = choice(`until-${id}`, 'until', kEnds.map(([one, text]) => [one, text, one === of]), { 'data-until': true, onchange: (event) => needs(event.target.value) });
  needs(of);
  const row = h('div', { class: 'hold' }, numberField(`hold-${id}`, temperatureLabel('Hold at, temperature'), { value: inTemperature(hold?.hold_celsius), required: true, 'data-hold': true }), ends, number,
    h('button', { type: 'button', class: 'quiet', onclick: () => row.remove() }, 'Remove this hold'));
  return row;
}

// A TOML basic string: what JSON writes is one, but for the delete character.
const quoted = (text) => JSON.stringify(text).replaceAll('\u007f', '\\u007f');

function description(form, holds, given) {
  const parts = [`name = ${quoted(form.get('name').trim())}`, `pitched = ${whenOf(form) ?? show.rfc3339(Math.floor(show.now()))}`];
  const og = gravityOf(form, 'og');
  if (og) parts.push(`original_gravity = ${quoted(`${og}`)}`);
  if (volumeOf(form, 'volume')) parts.push(`volume = ${quoted(volumeOf(form, 'volume'))}`);
  parts.push('[yeast]');
  if (form.get('yeast').trim()) parts.push(`name = ${quoted(form.get('yeast').trim())}`);
  if (given.attenuation) parts.push(`attenuation = [${given.yeast.attenuation_low}, ${given.yeast.attenuation_high}]`);
  const ends = [temperatureOf(form, 'low') || '16 Cel', temperatureOf(form, 'high') || '22 Cel'];
  if (temperatureOf(form, 'low') || temperatureOf(form, 'high')) parts.push(`temperature = [${ends.map(quoted)}]`);
  for (const row of holds.children) {
    const at = (what) => row.querySelector(`[data-${what}]`);
    const kind = at('until').value;
    const number = at('end').value.trim().replace(',', '.');
    parts.push('[[plan]]', `hold = ${quoted(temperatureOf(form, at('hold').name))}`);
    if (kind === 'final-gravity') parts.push('until = "final-gravity"');
    else if (kind === 'gravity') parts.push(`until = { gravity = ${quoted(gravityOf(form, at('end').name))} }`);
    else if (kind === 'days') parts.push(`until = { days = ${Number(number)} }`);
    else parts.push(`until = { ${kind} = ${Number(number) / 100} }`);
  }
  return `${parts.join('\n')}\n`;
}
