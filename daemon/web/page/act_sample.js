// A gravity measured by hand.
import { act } from './session.js';
import { batchField, batchPath, field, openForm } from './sheet.js';
import * as show from './show.js';

export const sample = {
  key: 'sample',
  title: 'Sample',
  icon: 'sample',
  inBar: true,
  offered: ({ batches }) => batches.some((batch) => !batch.packaged && !batch.unreadable),
  open({ batches }) {
    const plato = show.gravityUnit() === '°P';
    openForm('Add a sample', {
      hint: 'A gravity you measured yourself corrects the hydrometer.',
      fields: [
        batchField(batches.filter((batch) => !batch.packaged && !batch.unreadable)),
        field('gravity', plato ? 'Gravity in °P' : 'Gravity', { inputmode: 'decimal', required: true, placeholder: plato ? '3.1' : '1.012', autocomplete: 'off', autofocus: true }),
        field('warmth', `Its temperature in ${show.temperatureUnit()}, if you did not correct for it`, { inputmode: 'decimal', autocomplete: 'off' }),
      ],
      button: 'Add the sample',
      send: (form) => {
        const number = (name) => form.get(name).trim().replace(',', '.');
        let query = `gravity=${encodeURIComponent(number('gravity') + (plato ? ' P' : ''))}`;
        if (number('warmth')) query += `&temperature=${encodeURIComponent(`${number('warmth')} ${show.temperatureUnit() === '°F' ? 'F' : 'Cel'}`)}`;
        return act(`${batchPath(form.get('batch'))}/samples?${query}`);
      },
    });
  },
};
