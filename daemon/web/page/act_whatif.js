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
        numberField('hold', temperatureLabel('And if it were held from now on: temperature')),
        h('div', { class: 'what-if', 'aria-live': 'polite' }),
      ],
      button: 'Ask',
      send: async (form) => {
        const place = document.querySelector('dialog[open] .what-if');
        const ready = form.get('ready') && show.rfc3339(show.fromField(form.get('ready')));
        try {
          const answer = await ask(`${batchPath(batch.id)}/forecast${query({ ready_by: ready, hold: temperatureOf(form, 'hold') })}`);
          const said = answer.lines.map((line) => line.trim());
          const first = said.filter((line) => line.startsWith('Ready by'));
          place.replaceChildren(...first.map((line) => h('p', { class: 'next-what' }, line)), lines(said.filter((line) => !first.includes(line))));
        } catch (error) {
          place.replaceChildren(caution(sentence(error.message)));
        }
        return undefined;
      },
    });
  },
};
