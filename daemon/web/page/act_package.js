// The end of a batch: what the beer needs in bottle or keg, and that it has left its vessel.
import { h } from './dom.js';
import { caution, choice, gravityField, gravityOf, inVolume, lines, numberField, numberOf, pick, query, temperatureLabel, temperatureOf, volumeLabel, volumeOf, whenField, whenOf } from './fields.js';
import { act, ask, sentence } from './session.js';
import { batchPath, openForm } from './sheet.js';
import * as show from './show.js';

// What goes in, before how it was worked out.
function headline({ priming, keg }) {
  let text = '';
  if (priming) text = `${priming.grams === undefined ? '' : `${priming.grams.toFixed(0)} g of sugar in all: `}${priming.grams_per_litre.toFixed(1)} g a litre, ${priming.grams_per_bottle.toFixed(1)} g a bottle`;
  if (keg) text = `${show.isGallons() ? `${keg.gauge_psi.toFixed(1)} psi` : `${keg.gauge_bar.toFixed(2)} bar`} on the gauge, served at ${show.temperature(keg.serving_celsius)}`;
  return h('p', { class: 'next-what' }, text);
}

export const packageIt = {
  key: 'package',
  title: 'Package it',
  offered: ({ batches }) => batches.length === 1 && !batches[0].packaged,
  open({ batches: [batch] }) {
    const path = batchPath(batch.id);
    const sums = h('div', { class: 'sums', 'aria-live': 'polite' }, h('p', { class: 'wait' }, 'Working it out …'));
    let wait;
    let asked = 0;
    let override = false;  // asked for by the brewer, of a beer that is not stable
    // Why there are no sums (what it says of the API's override is the button here), and the way to have them all the same, with what is risked.
    const refused = (error, form) => (error.status === 409 && !override
      ? [h('p', null, sentence(error.message.replace(/ With override .*$/, ''))), h('button', { type: 'button', onclick: () => { override = true; workOut(form); } }, 'Work it out all the same')]
      : [caution(sentence(error.message))]);
    const workOut = async (form) => {
      const mine = asked += 1;
      const data = new FormData(form);
      const keg = data.get('kind') === 'keg';
      for (const one of form.querySelectorAll('[data-only]')) one.hidden = (one.dataset.only === 'keg') !== keg;
      const parts = { override: override && 'true', kind: data.get('kind'), volumes: numberOf(data, 'volumes'), volume: volumeOf(data, 'volume'), final_gravity: gravityOf(data, 'final_gravity'),
        storage: temperatureOf(data, 'storage'), ...(keg ? { serving: temperatureOf(data, 'serving') } : { sugar: data.get('sugar'), bottle: numberOf(data, 'bottle') && `${numberOf(data, 'bottle')} mL` }) };
      const answer = await ask(`${path}/packaging${query(parts)}`).then(({ lines: said, packaging }) => [headline(packaging), lines(said)], (error) => refused(error, form));
      if (mine === asked) sums.replaceChildren(...answer);
    };
    const dialog = openForm('Package it', {
      fields: [
        batch.packaging_caution && caution(batch.packaging_caution),
        !batch.unreadable && [
          pick('kind', 'It goes into', [['bottles', 'bottles'], ['keg', 'a keg']]),
          numberField('volumes', 'Carbon dioxide wanted, volumes', { value: '2.4' }),
          sums,
          h('details', null, h('summary', null, 'What these sums assume'), h('div', { class: 'stack' },
            numberField('volume', volumeLabel('Beer'), { value: inVolume(batch.spec?.volume_l) }),
            gravityField('final_gravity', 'Final gravity, if you measured it', { placeholder: null }),
            h('div', { 'data-only': 'bottles' }, choice('sugar', 'Sugar', [['sucrose', 'table sugar (sucrose)'], ['glucose-monohydrate', 'glucose monohydrate'], ['glucose', 'glucose, dry'], ['dry-malt-extract', 'dry malt extract']])),
            h('div', { 'data-only': 'bottles' }, numberField('bottle', 'A bottle holds, mL', { placeholder: '500' })),
            h('div', { 'data-only': 'keg', hidden: true }, numberField('serving', temperatureLabel('Served at'))),
            numberField('storage', temperatureLabel('The warmest it will be kept at'))))],
        whenField('It left the vessel'),
      ],
      button: 'It is packaged',
      send: (form) => act(`${path}/package${query({ time: whenOf(form) })}`, { done: ({ caution: said }) => (said ? 'Packaged: take care.' : 'Packaged. Good luck with it.') }),
      after: (answer, close, form) => form.replaceChildren(
        answer.caution ? caution(`Packaged. Take care: ${answer.caution}`) : h('p', null, 'It is packaged, and is no longer watched.'),
        h('div', { class: 'row' }, h('button', { type: 'button', class: 'main', onclick: close }, 'Close'),
          h('button', { type: 'button', onclick: async () => { if (await act(`${path}/packaged?take_back=yes`)) close(); } }, 'Undo: it is still in its vessel'))),
    });
    const form = dialog.querySelector('form');
    if (batch.unreadable) return;
    form.addEventListener('input', () => { clearTimeout(wait); wait = setTimeout(() => workOut(form), 300); });
    workOut(form);
  },
};
