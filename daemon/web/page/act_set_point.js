// The temperature that the vessel's thermostat is asked for.
import { h } from './dom.js';
import { caution, lines } from './fields.js';
import { act, ask, sentence } from './session.js';
import { batchPath, openSheet } from './sheet.js';
import * as show from './show.js';

// Of its lines what a person reads: no heading, no command, and the caution once.
export const setPointLines = ({ lines: all, caution: said }) => all.slice(1).map((line) => line.trim()).filter((line) => !line.startsWith('gylekeeper ') && line !== said);

export const setPoint = {
  key: 'set-point',
  title: 'Thermostat',
  reads: true,
  offered: ({ batches, setPoint: known }) => batches.length === 1 && known && known.state !== 'off',
  open({ batches: [batch] }) {
    const path = `${batchPath(batch.id)}/set-point`;
    openSheet('Thermostat', (close) => {
      const place = h('div', { class: 'stack' }, h('p', { class: 'wait' }, 'Loading …'));
      const fill = (known) => place.replaceChildren(...content(known, close, fill));
      ask(path).then(fill, (error) => place.replaceChildren(caution(sentence(error.message))));
      return [place];
    });
  },
};

function content(known, close, fill) {
  const waits = known.state === 'awaits-yes' && !show.settings().read_only;
  const wanted = known.next && show.temperature(known.next.temperature_celsius);
  return [
    lines(setPointLines(known)),
    caution(known.caution),
    waits && h('p', { class: 'hint' }, 'That the hold is over follows from an estimate of the gravity, and whether the thermostat obeys cannot be seen from here. To go back, set it by hand.'),
    h('div', { class: 'row' },
      // Only for the temperature that is shown.
      waits && h('button', { type: 'button', class: 'main', onclick: async () => {
        const answer = await act(`${batchPath(known.id)}/set-point/confirm?step=${known.next.step}`, { done: 'Agreed. See that the thermostat obeys.' });
        if (answer) fill(answer);
      } }, `Ask it for ${wanted}`),
      h('button', { type: 'button', onclick: close }, waits ? 'Not now' : 'Close')),
  ].filter(Boolean);
}
