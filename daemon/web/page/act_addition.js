// What goes into a fermenting beer beside its wort: its gravity and what is expected of it move.
import { h } from './dom.js';
import { caution, lines, numberField, numberOf, pick, query, volumeUnit, whenField, whenOf } from './fields.js';
import { act } from './session.js';
import { batchField, batchPath, openForm } from './sheet.js';
import * as show from './show.js';

const massUnit = () => (show.isGallons() ? 'oz' : 'g');
const unitOf = (what) => (what === 'water' ? volumeUnit() : massUnit());

// What is not certain, by kind.
const kDoubts = {
  sugar: 'It counts as dissolved and mixed at once; it takes hours to days. Package only after it has fermented: sugar that is left makes gas in the bottle.',
  fruit: 'How much sugar is in it differs from fruit to fruit, and it comes out over days. A sample later is surer.',
  water: 'It counts as mixed in at once.',
  'dry-hops': 'They count as nothing, but can make some sugar ferment that did not before: wait for a stable gravity again before you package.',
};

export const addition = {
  key: 'addition',
  title: 'Add sugar, fruit, water or hops',
  offered: ({ batches }) => batches.length === 1 && !batches[0].packaged && !batches[0].unreadable,
  open({ batches: [batch] }) {
    const path = `${batchPath(batch.id)}/additions`;
    const doubt = h('p', { class: 'hint doubt' });
    const amount = numberField('amount', '', { required: true });
    const share = numberField('share', 'Sugar in it, %', { value: '10' });
    const what = pick('what', 'What is added', [['sugar', 'sugar'], ['fruit', 'fruit'], ['water', 'water'], ['dry-hops', 'dry hops']]);
    const follow = (kind) => {
      doubt.textContent = kDoubts[kind];
      amount.firstChild.textContent = `Amount in ${unitOf(kind)}`;
      share.hidden = kind !== 'fruit';
    };
    what.addEventListener('change', (event) => follow(event.target.value));
    follow('sugar');
    openForm('Add to the beer', {
      fields: [batchField([batch]), caution('A fermenting beer is full of gas, and can foam over when something falls in. Add a little at a time, keep your face away, and leave the gas a way out.'),
        what, amount, share, doubt, whenField('Added')],
      button: 'It is added',
      send: (form) => {
        const kind = form.get('what');
        return act(`${path}${query({ what: kind, amount: `${numberOf(form, 'amount')} ${unitOf(kind)}`, sugar_share: kind === 'fruit' && `${numberOf(form, 'share')} %`, time: whenOf(form) })}`, { done: 'It is entered, and the batch is evaluated again.' });
      },
      after: (answer, close, form) => form.replaceChildren(lines(answer.lines),
        h('div', { class: 'row' }, h('button', { type: 'button', class: 'main', onclick: close }, 'Close'),
          h('button', { type: 'button', onclick: async () => { if (await act(`${batchPath(batch.id)}/undo`, { done: 'Undone.' })) close(); } }, 'Undo'))),
    });
  },
};
