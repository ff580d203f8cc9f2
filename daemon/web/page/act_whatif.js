// What would be, if: ready by a date, or held at another temperature.
import { h } from './dom.js';
import { caution, lines, numberField, query, temperatureLabel, temperatureOf } from './fields.js';
import { ask, sentence } from './session.js';
import { batchPath, field, openForm } from './sheet.js';
import * as show from './show.js';

// The next Saturday's noon, by the brewer's calendar.
function saturday() {
  for (let time = show.now(); ; time += 86400) {
    const noon = show.fromField(`${show.inField(time).slice(0, 10)}T12:00`);
    if (show.day(noon).startsWith('Sat') && noon > show.now()) return noon;
  }
}

export const whatIf = {
  key: 'what-if',
  title: 'What if …? Ready by a date',
  reads: true,
  offered: ({ batches }) => batches.length === 1 && !batches[0].packaged && !batches[0].unreadable,
  open({ batches: [batch] }) {
    openForm('What if?', {
      hint: 'Nothing is changed by asking.',
      fields: [
        field('ready', 'Ready to package by', { type: 'datetime-local', value: show.inField(saturday()) }),
        numberField('hold', temperatureLabel('And if it were held, from now on, at')),
        h('div', { class: 'what-if', 'aria-live': 'polite' }),
      ],
      button: 'Ask',
      send: async (form) => {
        const place = document.querySelector('dialog[open] .what-if');
        const ready = form.get('ready') && show.rfc3339(show.fromField(form.get('ready')));
        try {
          const answer = await ask(`${batchPath(batch.id)}/forecast${query({ ready_by: ready, hold: temperatureOf(form, 'hold') })}`);
          const chance = (answer.with_hold ?? answer.forecast).chance_ready;
          place.replaceChildren(chance === undefined ? '' : h('p', { class: 'next-what' }, `${Math.round(chance * 10)} in 10 that it is ready then`), lines(answer.lines));
        } catch (error) {
          place.replaceChildren(caution(sentence(error.message)));
        }
        return undefined;
      },
    });
  },
};
