// The end of a batch: it leaves its vessel.
import { h } from './dom.js';
import { act } from './session.js';
import { batchPath, openForm } from './sheet.js';

export const packageIt = {
  key: 'package',
  title: 'Package it',
  offered: ({ batches }) => batches.length === 1 && !batches[0].packaged,
  open({ batches: [batch] }) {
    openForm('Package it', {
      hint: 'It leaves the vessel now, and is no longer watched.',
      fields: [
        batch.packaging_caution && h('p', { class: 'alert warning', role: 'note' }, batch.packaging_caution),
        h('p', { class: 'check' }, h('input', { type: 'checkbox', id: 'package-sure', name: 'sure', required: true }),
          h('label', { for: 'package-sure' }, 'Yes, it is in bottles or in a keg')),
      ],
      button: 'End the batch',
      send: () => act(`${batchPath(batch.id)}/package`, {
        done: ({ caution }) => (caution ? 'Packaged, before it was found stable: take care.' : 'Packaged. Good luck with it.'),
      }),
      after: (answer, close, form) => {
        if (!answer.caution) { close(); return; }
        form.replaceChildren(h('p', { class: 'alert warning' }, `Packaged. Take care: ${answer.caution}`),
          h('div', { class: 'row' }, h('button', { type: 'button', class: 'main', onclick: close }, 'Close')));
      },
    });
  },
};
