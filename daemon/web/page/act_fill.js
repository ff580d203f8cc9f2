// What a packaged beer went into, and so when it should have its gas.
import { h } from './dom.js';
import { caution, lines, numberField, numberOf, pick, query, temperatureLabel, temperatureOf, volumeUnit, whenField, whenOf } from './fields.js';
import { act } from './session.js';
import { batchPath, openForm } from './sheet.js';
import * as show from './show.js';

const eachUnit = (container) => (container === 'keg' ? volumeUnit() : 'mL');

export const fill = {
  key: 'fill',
  title: 'Bottles and kegs',
  offered: ({ batches }) => batches.length === 1 && Boolean(batches[0].packaged),
  open({ batches: [batch] }) {
    const path = `${batchPath(batch.id)}/fills`;
    const container = pick('container', 'It went into', [['bottles', 'bottles'], ['keg', 'kegs']]);
    const gas = pick('gas', 'Its gas comes from', [['priming', 'priming sugar'], ['cylinder', 'a cylinder']]);
    const each = numberField('each', '');
    const field = each.querySelector('input');
    const follow = (kind) => {
      each.querySelector('label').textContent = `Each took, in ${eachUnit(kind)}`;
      field.placeholder = kind === 'keg' ? '' : '500';
      field.required = kind === 'keg';
    };
    container.addEventListener('change', (event) => {
      follow(event.target.value);
      gas.querySelector(`[value=${event.target.value === 'keg' ? 'cylinder' : 'priming'}]`).checked = true;
    });
    follow('bottles');
    openForm('Bottles and kegs', {
      fields: [caution('What holds pressure can burst: fill only what is made for it and is whole, and keep it out of the sun.'),
        container, h('div', { class: 'two' }, numberField('count', 'How many', { required: true, inputmode: 'numeric' }), each), gas,
        numberField('storage', temperatureLabel('Kept until then at'), { placeholder: String(Math.round(show.temperatureNumber(20))) }),
        whenField('Filled', show.seconds(batch.packaged)),
        h('p', { class: 'hint' }, 'When it has its gas is a rule of thumb. Try one before you trust the rest.')],
      button: 'It is filled',
      send: (form) => {
        const kind = form.get('container');
        return act(`${path}${query({ container: kind, count: numberOf(form, 'count'), each: numberOf(form, 'each') && `${numberOf(form, 'each')} ${eachUnit(kind)}`, gas: form.get('gas'),
          storage: temperatureOf(form, 'storage'), time: whenOf(form) })}`, { done: 'It is entered.' });
      },
      after: (answer, close, form) => form.replaceChildren(lines(answer.lines),
        h('div', { class: 'row' }, h('button', { type: 'button', class: 'main', onclick: close }, 'Close'),
          h('button', { type: 'button', onclick: async () => {
            const newest = Math.max(...answer.fills.map((one) => one.id));
            if (await act(`${path}/${newest}?take_back=yes`, { done: 'Undone.' })) close();
          } }, 'Undo'))),
    });
  },
};
