// A gravity measured by hand.
import { h } from './dom.js';
import { gravityField, gravityOf, numberField, numberOf, pick, query, temperatureLabel, temperatureOf, whenField, whenOf } from './fields.js';
import { act } from './session.js';
import { batchField, batchPath, openForm } from './sheet.js';

export const sample = {
  key: 'sample',
  title: 'Sample',
  icon: 'sample',
  inBar: true,
  offered: ({ batches }) => batches.some((batch) => !batch.packaged && !batch.unreadable),
  open({ batches }) {
    openForm('Add a sample', {
      hint: 'A gravity you measured yourself corrects the hydrometer.',
      fields: [batchField(batches.filter((batch) => !batch.packaged && !batch.unreadable)), measured(), whenField('Taken')],
      button: 'Add the sample',
      send: (form) => act(`${batchPath(form.get('batch'))}/samples${query({ ...measuredOf(form), time: whenOf(form) })}`),
    });
  },
};

// A gravity by either instrument; `value` as it stands in the field.
export function measured(value = '') {
  const glass = h('div', { class: 'stack' },
    gravityField('gravity', 'Gravity', { required: true, autofocus: true, value, placeholder: null }),
    numberField('warmth', temperatureLabel('Its temperature, if you did not correct for it,')));
  const prism = h('div', { class: 'stack', hidden: true },
    numberField('brix', 'Degrees Brix that it shows'),
    h('p', { class: 'hint' }, 'It is corrected for alcohol, and can be two points wrong; a hydrometer is surer.'),
    h('p', { class: 'check' }, h('input', { type: 'checkbox', id: 'field-wort', name: 'wort', value: 'true' }),
      h('label', { for: 'field-wort' }, 'It has not begun to ferment')));
  const instrument = pick('instrument', 'Measured with', [['glass', 'a glass hydrometer'], ['prism', 'a refractometer']]);
  instrument.addEventListener('change', (event) => {
    const refractometer = event.target.value === 'prism';
    glass.hidden = refractometer;
    prism.hidden = !refractometer;
    glass.querySelector('[name=gravity]').required = !refractometer;
    prism.querySelector('[name=brix]').required = refractometer;
    (refractometer ? prism : glass).querySelector('input').focus();
  });
  return [glass, prism, instrument];
}

export function measuredOf(form) {
  if (form.get('instrument') === 'prism') return { refractometer: numberOf(form, 'brix'), wort: form.get('wort') };
  return { gravity: gravityOf(form, 'gravity'), temperature: temperatureOf(form, 'warmth') };
}
