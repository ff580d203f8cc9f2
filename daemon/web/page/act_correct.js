// What was entered: to correct it, to take it back, and to undo a correction.
import { h } from './dom.js';
import { inGravity, query, whenField, whenOf } from './fields.js';
import { noteField } from './act_note.js';
import { measured, measuredOf } from './act_sample.js';
import { act, ask, askAll, sentence } from './session.js';
import { batchPath, field, openForm, openSheet } from './sheet.js';
import * as show from './show.js';

export const correct = {
  key: 'correct',
  title: 'Correct an entry, or undo',
  offered: ({ batches }) => batches.length === 1,
  open({ batches: [batch] }) {
    const path = batchPath(batch.id);
    openSheet('What was entered', (close) => {
      const place = h('div', { class: 'stack' }, h('p', { class: 'wait' }, 'Loading …'));
      const fill = () => contentOf(path, fill).then((content) => place.replaceChildren(...content.flat(Infinity).filter(Boolean)),
        (error) => place.replaceChildren(h('p', { class: 'alert warning' }, sentence(error.message))));
      fill();
      return [place, h('div', { class: 'row' }, h('button', { type: 'button', onclick: close }, 'Close'))];
    });
  },
};

// done() shows all of it again.
async function contentOf(path, done) {
  const [batch, samples, notes, { additions }, { fills }, { amendments }] = await Promise.all([ask(path), askAll(`${path}/samples`, 'samples'), askAll(`${path}/notes`, 'notes'), ask(`${path}/additions`).catch((error) => { if (error.status !== 409) throw error; return { additions: [] }; }), ask(`${path}/fills`), ask(`${path}/amendments`)]);
  const then = (made) => made && done();
  const takeBack = (address) => act(`${path}/${address}${address.includes('?') ? '&' : '?'}take_back=yes`).then(then);
  const row = (what, time, text, change, address) => h('li', null, h('p', { class: 'label' }, `${what} · ${show.moment(show.seconds(time))}`),
    h('p', { class: 'wrap', dir: 'auto' }, text),
    h('div', { class: 'row' }, change && h('button', { type: 'button', 'aria-label': `Correct: ${text}`, onclick: change }, 'Correct'),
      h('button', { type: 'button', 'aria-label': `Take back: ${text}`, onclick: () => takeBack(address) }, 'Take back')));
  return [
    h('ul', { class: 'entries' },
      samples.map((one) => row('sample', one.time, show.gravity(one.gravity_sg, 4), () => changeSample(path, one, then), `samples/${one.number}`)),
      notes.map((one) => row('note', one.time, one.text, () => changeNote(path, one, then), `notes/${one.id}`)),
      additions.map((one, i) => row('addition', one.time, show.addition(one), null, `additions/${i + 1}`)),
      fills.map((one) => row('filled', one.time, `${one.count} × ${show.volume(one.litres_each)} ${one.container === 'keg' ? 'in kegs' : 'in bottles'}`, null, `fills/${one.id}`)),
      batch.packaged && row('packaged', batch.packaged, 'It left its vessel.', () => changePackaged(path, batch, then), 'packaged'),
      h('li', null, h('p', { class: 'label' }, 'description'), h('p', null, 'Its name, original gravity, volume, yeast and plan'),
        h('div', { class: 'row' }, h('button', { type: 'button', onclick: () => changeDescription(path, then) }, 'Correct the description')))),
    amendments.length > 0 && h('h3', null, 'Corrections so far'),
    amendments.length > 0 && h('ul', { class: 'entries' }, amendments.slice(-20).reverse().map((one) => h('li', null,
      h('p', { class: 'label' }, `${one.thing} · ${show.moment(show.seconds(one.time))}`), h('p', { class: 'wrap' }, changeText(one)),
      one.undone || one.undoes ? h('p', { class: 'hint' }, one.undone ? 'undone' : 'an undo')
        : h('div', { class: 'row' }, h('button', { type: 'button', 'aria-label': `Undo the correction of ${show.moment(show.seconds(one.time))}: ${changeText(one)}`,
          onclick: () => act(`${path}/undo/${one.id}`).then(then) }, 'Undo'))))),
  ];
}

function entryText(entry) {
  if (!entry) return 'nothing';
  if (entry.gravity_sg !== undefined) return `${show.gravity(entry.gravity_sg, 4)}, ${show.moment(show.seconds(entry.time))}`;
  if (entry.text !== undefined) return `“${entry.text}”`;
  return entry.time ? show.moment(show.seconds(entry.time)) : `“${entry.name}”`;
}
function changeText({ thing, before, after }) {
  if (thing === 'description') {
    const [was, is] = [before, after].map((spec) => (spec.additions ?? []).map((one) => show.addition(one)));
    if (is.length > was.length) return `Added: ${is.find((one) => !was.includes(one)) ?? is.at(-1)}`;
    if (is.length < was.length) return `Taken back: ${was.find((one) => !is.includes(one)) ?? was.at(-1)}`;
    return 'The description was changed.';
  }
  return after ? `${entryText(before)} became ${entryText(after)}` : `${entryText(before)} was taken back`;
}

function changeSample(path, sample, then) {
  openForm('Correct the sample', {
    fields: [measured(inGravity(sample.gravity_sg)), whenField('Taken', show.seconds(sample.time))],
    button: 'Correct it',
    send: (form) => act(`${path}/samples/${sample.number}${query({ ...measuredOf(form), time: whenOf(form) })}`),
    after: (answer, close) => { close(); then(answer); },
  });
}

function changeNote(path, note, then) {
  openForm('Correct the note', {
    fields: [noteField(note.text), whenField('When', show.seconds(note.time))],
    button: 'Correct it',
    send: (form) => act(`${path}/notes/${note.id}${query({ time: whenOf(form) })}`, { body: form.get('text').trim() }),
    after: (answer, close) => { close(); then(answer); },
  });
}

function changePackaged(path, batch, then) {
  openForm('Correct when it was packaged', {
    fields: [whenField('It left the vessel', show.seconds(batch.packaged))],
    button: 'Correct it',
    send: (form) => act(`${path}/packaged${query({ time: whenOf(form) ?? batch.packaged })}`),
    after: (answer, close) => { close(); then(answer); },
  });
}

async function changeDescription(path, then) {
  const text = await fetch(`${path}/description`, { credentials: 'same-origin' }).then((answer) => (answer.ok ? answer.text() : ''));
  const place = field('toml', 'Its description', { rows: 16, required: true, spellcheck: 'false', class: 'code' }, 'textarea');
  place.lastChild.value = text;
  openForm('Correct the description', {
    hint: 'Change a value and keep the form. The batch is then evaluated again from its pitch.',
    fields: [place],
    button: 'Correct it',
    send: (form) => act(`${path}/description`, { body: form.get('toml'), type: 'application/toml' }),
    after: (answer, close) => { close(); then(answer); },
  });
}
